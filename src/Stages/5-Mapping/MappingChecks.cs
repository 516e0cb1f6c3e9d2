using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Mapping;

/// <summary>Whether what is handed to Mapping fits together.</summary>
internal static class MappingChecks
{
    /// <exception cref="InputProblemException">What does not fit, and how to mend it.</exception>
    public static void Check(MappingInput input)
    {
        RasterLabel surface = input.Surface.Label;
        if (surface.Heights is not (null or VerticalReference.Ellipsoid))
        {
            throw new InputProblemException(
                "surface",
                $"its heights are above {surface.Heights}, the map needs heights above the ellipsoid.",
                "Convert the surface first."
            );
        }

        if (!surface.Grid.ReferenceSystem.Equals(input.Grid.ReferenceSystem))
        {
            throw new InputProblemException(
                "surface",
                $"it lies in {surface.Grid.ReferenceSystem}, the map in {input.Grid.ReferenceSystem}.",
                "Use one reference system for both."
            );
        }

        if (input.Grid.Rows < 1 || input.Grid.Columns < 1 || !(input.Grid.CellSizeMetres > 0))
        {
            throw new InputProblemException(
                "map grid",
                $"{input.Grid.Rows} rows × {input.Grid.Columns} columns of {input.Grid.CellSizeMetres} m.",
                "Give a grid with at least one cell."
            );
        }

        int captures = input.Geometry.Captures.Count;
        if (captures > ushort.MaxValue)
        {
            throw new InputProblemException(
                "survey",
                $"{captures} captures; one map holds at most {ushort.MaxValue}.",
                "Split the survey."
            );
        }

        if (
            (input.TowardsSunLocal is { } suns && suns.Count != captures)
            || (input.CapturePenalties is { } penalties && penalties.Count != captures)
        )
        {
            throw new ArgumentException(
                $"Sun directions ({input.TowardsSunLocal?.Count}) and penalties ({input.CapturePenalties?.Count}) go one to each of {captures} captures.",
                nameof(input)
            );
        }

        if (input.Frames.Bands.Count == 0)
        {
            throw new InputProblemException("reflectance", "there is no band to map.", "Check the camera profile.");
        }
    }

    /// <summary>Positions of captures that are placed and have every band; what is left out is told once for each cause.</summary>
    public static List<int> UsableCaptures(MappingInput input, List<string> reasons)
    {
        List<int> usable = [];
        int unplaced = 0;
        List<string> incomplete = [];
        for (int index = 0; index < input.Geometry.Captures.Count; index++)
        {
            PlacedCapture capture = input.Geometry.Captures[index];
            if (!capture.Placed)
            {
                unplaced++;
            }
            else if (!input.Frames.Bands.All(band => input.Frames.Has(capture.CaptureId, band)))
            {
                incomplete.Add(capture.CaptureId);
            }
            else
            {
                usable.Add(index);
            }
        }

        if (unplaced > 0)
        {
            reasons.Add(
                $"{unplaced} of {input.Geometry.Captures.Count} captures are not placed and were left out of the map."
            );
        }

        if (incomplete.Count > 0)
        {
            reasons.Add(
                $"{incomplete.Count} captures lack a band and were left out of the map: {string.Join(", ", incomplete.Take(5))}{(incomplete.Count > 5 ? ", …" : "")}."
            );
        }

        return usable;
    }
}
