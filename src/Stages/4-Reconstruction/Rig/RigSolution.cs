using System.Buffers;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Numerics.LeastSquares;
using Hillrow.Sight;

namespace Hillrow.Reconstruction;

/// <summary>Solves each band's lens and turn against the reference band, once for a survey.</summary>
internal sealed class RigSolution
{
    private const int SpotsPerCapture = 240;

    /// <summary>Turn of a lens in its mount, radians: about a degree.</summary>
    private const double TurnSigma = 0.02;

    private const int LeastTies = 40;

    /// <summary>How sharply a patch of another band is found, pixels, as far as patches are independent of each other.</summary>
    private const double TieSigmaPixels = 0.3;

    /// <summary>Lens and field of what it leaves over take parts of each other: solved in turns.</summary>
    private const int FieldTurns = 3;

    /// <summary>Size of the pictures and largest offset searched, from rough to sharp: 40, 8 and 3 full-size pixels.</summary>
    private static readonly (int Reduction, int Search, double LossPixels)[] Rounds =
    [
        (4, 10, 4),
        (2, 4, 1.5),
        (1, 3, 0.7),
    ];

    private readonly ReconstructionInput input;
    private readonly SurveyAdjustment adjustment;
    private readonly ParallelOptions options;
    private readonly int[] captures;
    private readonly List<(PixelPoint Pixel, Vector3D InReference)>[] spots;

    public RigSolution(
        ReconstructionInput input,
        SurveyAdjustment adjustment,
        bool[] placed,
        ReconstructionSettings settings,
        CancellationToken cancel
    )
    {
        this.input = input;
        this.adjustment = adjustment;
        options = new ParallelOptions { MaxDegreeOfParallelism = settings.Threads, CancellationToken = cancel };
        int[] usable = [.. Enumerable.Range(0, placed.Length).Where(index => placed[index])];
        int wanted = Math.Min(settings.RigCaptures, usable.Length);
        captures = [.. Enumerable.Range(0, wanted).Select(at => usable[(int)((at + 0.5) * usable.Length / wanted)])];
        spots = [.. captures.Select(SpotsOf)];
    }

    /// <summary>Lens and mount of a band; the nominal ones with 0 ties when too few spots are found.</summary>
    public (BandGeometry Band, RigFigure Figure) Solve(CameraBand band)
    {
        CameraMount mount = band.Mount;
        Lens lens = band.Lens;
        RigFigure figure = default;
        foreach ((int reduction, int search, double loss) in Rounds)
        {
            List<BandTie> ties = Find(band, mount, lens, reduction, search);
            if (ties.Count < LeastTies)
            {
                return (new BandGeometry(band.Name, lens, mount), figure);
            }

            (mount, lens, figure) = Fit(band, band.Lens, ties, loss);
            for (int turn = 0; turn < FieldTurns && reduction == 1; turn++)
            {
                if (FieldOf(band, mount, lens, ties, loss) is not { } field)
                {
                    break;
                }

                (mount, lens, figure) = Fit(band, new ResidualGridLens(band.Lens, field), ties, loss);
            }
        }

        return (new BandGeometry(band.Name, lens, mount), figure);
    }

    private List<BandTie> Find(CameraBand band, CameraMount mount, Lens lens, int reduction, int search)
    {
        List<BandTie>[] found = new List<BandTie>[captures.Length];
        CameraBand reference = input.Profile.ReferenceBand;
        Parallel.For(
            0,
            captures.Length,
            options,
            at =>
            {
                found[at] = [];
                Capture capture = input.Captures[captures[at]];
                if (capture.FrameOf(band.Name) is not { } file || capture.FrameOf(reference.Name) is not { } own)
                {
                    return;
                }

                using GradientPicture from = Picture(capture, own, reference.Sensor, reduction);
                using GradientPicture into = Picture(capture, file, band.Sensor, reduction);
                foreach ((PixelPoint pixel, Vector3D inReference) in spots[at])
                {
                    if (
                        lens.TryProject(mount.ToBand(inReference), out PixelPoint predicted)
                        && PatchSearch.TryFind(from, pixel, into, predicted, search, out PixelPoint seen)
                    )
                    {
                        found[at].Add(new BandTie(at, inReference, seen));
                    }
                }
            }
        );
        return [.. found.SelectMany(list => list)];
    }

    private GradientPicture Picture(Capture capture, BandFrame file, BandSensor sensor, int reduction)
    {
        ushort[] counts = ArrayPool<ushort>.Shared.Rent(sensor.Rows * sensor.Columns);
        try
        {
            Span<ushort> frame = counts.AsSpan(0, sensor.Rows * sensor.Columns);
            input.Frames(capture, file, frame);
            return GradientPicture.Of(frame, sensor.Rows, sensor.Columns, reduction);
        }
        finally
        {
            ArrayPool<ushort>.Shared.Return(counts);
        }
    }

    private static (CameraMount Mount, Lens Lens, RigFigure Figure) Fit(
        CameraBand band,
        Lens model,
        List<BandTie> ties,
        double lossPixels
    )
    {
        BlockProblem problem = new(3, []);
        int turn = problem.AddSharedBlock([0.0, 0.0, 0.0]);
        int lensBlock = problem.AddSharedBlock([.. band.Lens.Parameters]);
        problem.AddResiduals(new RigResiduals(ties, band.Mount, model, turn, lensBlock, RobustLoss.Cauchy(lossPixels)));
        problem.AddResiduals(ExpectedValues.Of(turn, new double[3], [TurnSigma, TurnSigma, TurnSigma]));
        problem.AddResiduals(LensExpectation.Of(lensBlock, band.Lens));
        using BlockSolver solver = new(problem, new BlockSolverSettings { MaximumSteps = 60 });
        _ = solver.Solve();
        Span<double> turned = problem.SharedValues(turn);
        CameraMount mount = band.Mount with
        {
            ReferenceToBand =
                Matrix3D.FromRotationVector(new Vector3D(turned[0], turned[1], turned[2])) * band.Mount.ReferenceToBand,
        };
        Lens lens = model.WithParameters(problem.SharedValues(lensBlock));
        double sum = 0;
        int used = 0;
        foreach (BandTie tie in ties)
        {
            if (lens.TryProject(mount.ToBand(tie.InReferenceMetres), out PixelPoint pixel))
            {
                double square = Square(pixel.Column - tie.Seen.Column) + Square(pixel.Row - tie.Seen.Row);
                if (square <= Square(3 * lossPixels))
                {
                    sum += square;
                    used++;
                }
            }
        }

        return (mount, lens, new RigFigure(used, used == 0 ? 0 : Math.Sqrt(sum / used)));
    }

    /// <summary>What the band's polynomial leaves over, as the ties that fit show it.</summary>
    private static ResidualGrid? FieldOf(
        CameraBand band,
        CameraMount mount,
        Lens lens,
        List<BandTie> ties,
        double lossPixels
    )
    {
        Lens polynomial = band.Lens.WithParameters([.. lens.Parameters]);
        LensField field = new(polynomial.Rows, polynomial.Columns);
        foreach (BandTie tie in ties)
        {
            Vector3D inBand = mount.ToBand(tie.InReferenceMetres);
            if (
                polynomial.TryProject(inBand, out PixelPoint at)
                && lens.TryProject(inBand, out PixelPoint predicted)
                && Square(predicted.Column - tie.Seen.Column) + Square(predicted.Row - tie.Seen.Row)
                    <= Square(lossPixels)
            )
            {
                field.Add(tie.Capture, at, tie.Seen, TieSigmaPixels);
            }
        }

        return field.Solve();
    }

    private static double Square(double value) => value * value;

    /// <summary>Tie points of a capture, spread evenly, with their place in the reference camera's frame.</summary>
    private List<(PixelPoint Pixel, Vector3D InReference)> SpotsOf(int capture)
    {
        const int Across = 16;
        Lens lens = adjustment.Lens;
        CameraPose pose = adjustment.Poses[capture];
        Dictionary<int, List<(PixelPoint, Vector3D)>> cells = [];
        foreach (TiePoint point in adjustment.Points)
        {
            foreach (Sighting sight in point.Sightings)
            {
                if (sight.Capture == capture)
                {
                    int cell =
                        ((int)(sight.Pixel.Row * Across / lens.Rows) * Across)
                        + (int)(sight.Pixel.Column * Across / lens.Columns);
                    if (!cells.TryGetValue(cell, out List<(PixelPoint, Vector3D)>? list))
                    {
                        cells[cell] = list = [];
                    }

                    // The patch around the sight is what is looked for: its own line of sight, not the point's, which
                    // lies half a pixel beside it.
                    Vector3D inCamera = pose.ToCamera(point.Place);
                    if (lens.TryRayOf(sight.Pixel, out Vector3D ray))
                    {
                        inCamera = ray * (inCamera.Z / ray.Z);
                    }

                    list.Add((sight.Pixel, inCamera));
                }
            }
        }

        List<(PixelPoint, Vector3D)> chosen = [];
        for (int rank = 0; chosen.Count < SpotsPerCapture && cells.Values.Any(list => list.Count > rank); rank++)
        {
            foreach ((_, List<(PixelPoint, Vector3D)> list) in cells.OrderBy(entry => entry.Key))
            {
                if (list.Count > rank && chosen.Count < SpotsPerCapture)
                {
                    chosen.Add(list[rank]);
                }
            }
        }

        return chosen;
    }
}
