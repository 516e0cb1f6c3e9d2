using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>The local frame of a survey and what was recorded about each capture, brought into it.</summary>
internal sealed record SurveyPriors(
    LocalFrame Frame,
    IReadOnlyList<CapturePrior> Captures,
    int SortieCount,
    IReadOnlyList<string> Notes
)
{
    /// <summary>Index of captures whose recorded position is nowhere near the others; it was not used.</summary>
    public required IReadOnlyList<int> Astray { get; init; }

    /// <summary>Places that the survey lies around, local metres.</summary>
    public required IReadOnlyList<Vector3D> Around { get; init; }

    /// <summary>True when too few positions are known to begin with them.</summary>
    public bool IsUnaided => Captures.Count(prior => prior.HasPosition) < UnaidedStart.LeastPositions;

    /// <exception cref="InputProblemException">Fewer than three captures have a position, and there is no ground control.</exception>
    public static SurveyPriors From(
        IReadOnlyList<Capture> captures,
        CameraProfile profile,
        ReconstructionSettings settings,
        GroundControl? control = null
    )
    {
        List<string> notes = [];
        GeodeticPosition?[] places = new GeodeticPosition?[captures.Count];
        int unknownHeights = 0;
        for (int index = 0; index < captures.Count; index++)
        {
            if (captures[index].Position is not { } position)
            {
                continue;
            }

            GeographicPoint at = new(position.Latitude, position.Longitude);
            VerticalReference reference = position.HeightReference;
            if (reference == VerticalReference.Unknown)
            {
                reference = settings.UnknownHeightReference;
                unknownHeights++;
            }

            double height = new Height(position.HeightMetres, reference).EllipsoidalMetres(at, GeoidModel.Egm96);
            places[index] = new GeodeticPosition(position.Latitude, position.Longitude, height);
        }

        if (unknownHeights > 0)
        {
            notes.Add(
                $"{unknownHeights} captures do not say what their height is measured from; it was taken as height above {(settings.UnknownHeightReference == VerticalReference.Ellipsoid ? "the WGS 84 ellipsoid" : "sea level (EGM96)")}."
            );
        }

        int[] astray = AstrayPositions.Of(places);
        foreach (int index in astray)
        {
            places[index] = null;
        }

        List<GeodeticPosition> known = [.. places.Where(place => place is not null).Select(place => place!.Value)];
        bool lifted = known.Count >= UnaidedStart.LeastPositions;
        if (!lifted)
        {
            known = [.. (control?.Points ?? []).Where(point => !point.IsCheckpoint).Select(point => point.Place)];
            Array.Clear(places);
            if (known.Count < ControlSurvey.LeastPoints)
            {
                throw new InputProblemException(
                    "the survey's captures",
                    $"fewer than {UnaidedStart.LeastPositions} of {captures.Count} captures have a usable recorded position, so the survey cannot be placed on the map.",
                    $"Check the metadata map of the camera profile, give positions beside the captures, or survey at least {ControlSurvey.LeastPoints} ground control points with marks."
                );
            }

            notes.Add(
                "captures have no usable recorded positions; they were placed by what they show and laid onto ground control."
            );
        }

        // The median keeps one wild position from dragging the frame away.
        GeodeticPosition origin = new(
            Angle.FromRadians(Median(known.Select(place => place.Latitude.Radians))),
            Angle.FromRadians(Median(known.Select(place => place.Longitude.Radians))),
            Median(known.Select(place => place.HeightAboveEllipsoidMetres))
                - (lifted ? settings.TypicalHeightAboveGroundMetres : 0)
        );
        LocalFrame frame = new(origin);
        Vector3D?[] antennas = [.. places.Select(place => place is { } known ? frame.ToLocal(known) : (Vector3D?)null)];
        (int[] sortie, double[] seconds, int sorties) = SortiesOf(captures);
        CapturePrior[] priors = new CapturePrior[captures.Count];
        for (int index = 0; index < captures.Count; index++)
        {
            priors[index] = PriorOf(captures, index, frame, antennas, profile, settings, sortie[index], seconds[index]);
        }

        int guessed = lifted ? priors.Count(prior => !prior.HasAttitude) : 0;
        if (guessed > 0)
        {
            notes.Add(
                $"{guessed} captures have no recorded attitude; the camera was taken to look straight down, its top along the track."
            );
        }

        return new SurveyPriors(frame, priors, sorties, notes)
        {
            Astray = astray,
            Around = [.. known.Select(frame.ToLocal)],
        };
    }

    private static CapturePrior PriorOf(
        IReadOnlyList<Capture> captures,
        int index,
        LocalFrame frame,
        Vector3D?[] antennas,
        CameraProfile profile,
        ReconstructionSettings settings,
        int sortie,
        double seconds
    )
    {
        Capture capture = captures[index];
        Vector3D antenna =
            antennas[index] ?? Between(antennas, index) ?? new Vector3D(0, 0, settings.TypicalHeightAboveGroundMetres);
        Attitude attitude = capture.Attitude ?? new Attitude(Track(antennas, index), default, default);
        GeodeticPosition place = frame.ToGeodetic(antenna);
        Matrix3D rotation =
            attitude.EnuToCamera()
            * frame.FromAxesAt(new GeographicPoint(place.Latitude, place.Longitude)).Transposed();
        Vector3D lever = profile.AntennaFromLensMetres;
        CameraPose pose = new(antenna - (rotation.Transposed() * lever), rotation);
        bool positioned = antennas[index] is not null;
        const double Unpositioned = 100;
        return new CapturePrior(
            pose,
            antenna,
            positioned,
            capture.Attitude is not null,
            positioned ? capture.Position?.HorizontalSigmaMetres ?? settings.HorizontalSigmaMetres : Unpositioned,
            positioned ? capture.Position?.VerticalSigmaMetres ?? settings.VerticalSigmaMetres : Unpositioned,
            (capture.Attitude is null ? 5 : 1) * settings.RotationSigmaDegrees * Math.PI / 180,
            sortie,
            seconds
        );
    }

    private static (int[] Sortie, double[] Seconds, int Count) SortiesOf(IReadOnlyList<Capture> captures)
    {
        Dictionary<string, int> known = [];
        Dictionary<int, DateTimeOffset> first = [];
        int[] sortie = new int[captures.Count];
        double[] seconds = new double[captures.Count];
        for (int index = 0; index < captures.Count; index++)
        {
            if (!known.TryGetValue(captures[index].Sortie, out int number))
            {
                number = known.Count;
                known[captures[index].Sortie] = number;
            }

            sortie[index] = number;
            if (captures[index].TimeUtc is { } time)
            {
                first.TryAdd(number, time);
                seconds[index] = (time - first[number]).TotalSeconds;
            }
        }

        return (sortie, seconds, known.Count);
    }

    /// <summary>Halfway between the nearest positioned captures before and after; null when there is none.</summary>
    private static Vector3D? Between(Vector3D?[] places, int index)
    {
        Vector3D? before = places.Take(index).LastOrDefault(place => place is not null);
        Vector3D? after = places.Skip(index + 1).FirstOrDefault(place => place is not null);
        return before is { } a && after is { } b ? (a + b) / 2 : before ?? after;
    }

    /// <summary>Direction of travel at a capture, clockwise from north.</summary>
    private static Angle Track(Vector3D?[] places, int index)
    {
        Vector3D? from = null;
        Vector3D? to = null;
        for (int at = Math.Max(0, index - 1); at <= Math.Min(places.Length - 1, index + 1); at++)
        {
            if (places[at] is { } place)
            {
                from ??= place;
                to = place;
            }
        }

        Vector3D way = (to ?? Vector3D.Zero) - (from ?? Vector3D.Zero);
        return Angle.FromRadians(Math.Atan2(way.X, way.Y));
    }

    private static double Median(IEnumerable<double> values)
    {
        double[] sorted = [.. values.Order()];
        return sorted[sorted.Length / 2];
    }
}
