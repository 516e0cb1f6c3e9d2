namespace Hillrow.Radiometry;

/// <summary>One class of cover as a capture saw it at a place, light and lens taken off.</summary>
/// <param name="Capture">Index.</param>
/// <param name="Place">Index.</param>
/// <param name="LogReflectance">Natural logarithm of the class's mean.</param>
/// <param name="Kernels">Of the look.</param>
internal readonly record struct CoverLook(int Capture, int Place, double LogReflectance, ViewAngleKernels Kernels);

/// <summary>How one class of cover changes with sun and view, from its own pixels alone, the light being known.</summary>
/// <remarks>
/// Whole windows of a metre and more show crowns, their shadows and the soil between as one, and their change with angle is the change
/// of that mixture. A map's cell is one or the other: its change is found here, from looks at canopy pixels alone and at open ground alone.
/// </remarks>
internal static class CoverAngles
{
    private const int FewestLooks = 60;

    /// <summary>What a capture's light is left wrong by, for all its places alike.</summary>
    private const double CaptureSigma = 0.01;

    /// <summary>Null when too few places were seen by two captures.</summary>
    /// <param name="looks">Those of one place stand together.</param>
    /// <param name="captures">Of the survey.</param>
    /// <param name="settings">How far weights may lie from 0.</param>
    /// <param name="cancel">Stops between steps.</param>
    public static ViewAngleWeights? Solve(
        IEnumerable<CoverLook> looks,
        int captures,
        OverlapSettings settings,
        CancellationToken cancel = default
    )
    {
        GainSamples samples = new(3);
        NodePlace whole = NodePlace.At(1, 1, 0.5, 0.5);
        int place = -1;
        foreach (CoverLook look in looks)
        {
            if (look.Place != place && place >= 0)
            {
                samples.EndPlace();
            }

            place = look.Place;
            ViewAngleKernels kernels = look.Kernels;
            samples.Add(
                look.Capture,
                whole,
                look.LogReflectance,
                [(float)kernels.Volume, (float)kernels.Geometry, (float)kernels.Slant]
            );
        }

        if (place >= 0)
        {
            samples.EndPlace();
        }

        if (samples.Looks < FewestLooks)
        {
            return null;
        }

        GainProblem problem = new(samples, captures, 1, 0);
        int start = problem.SharedStart;
        problem.Add(GainPrior.Of(start, 0, settings.VolumeSigma));
        problem.Add(GainPrior.Of(start + 1, 0, settings.GeometrySigma));
        problem.Add(GainPrior.Of(start + 2, 0, settings.SlantSigma));
        for (int capture = 0; capture < captures; capture++)
        {
            problem.Add(GainPrior.Of(capture, 0, CaptureSigma));
        }

        ReadOnlySpan<double> values = GainSolver.Solve(problem, cancel: cancel).Values;
        return new ViewAngleWeights(values[start], values[start + 1], values[start + 2]);
    }
}
