using System.Text.Json;
using Hillrow.Imaging;
using Hillrow.Validation.Chain;
using OpenCvSharp;

namespace Hillrow.Validation.Real;

/// <summary>Two lenses from real pictures of a chess board, against the published lens and a general solver on the same corners.</summary>
public sealed class RealBoardFigures : FigureSource
{
    private static readonly ChessBoard Board = new(9, 6, 25);

    /// <summary>Of the left lens in left_intrinsics.yml, average reprojection error in pixels and focal length.</summary>
    private const double PublishedRms = 0.39259;
    private const double PublishedFocal = 535.9157;

    public override string Area => "real";

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        if (RealData.Of(run, "calib-stereo-opencv") is not { } data)
        {
            yield break;
        }

        int worst = 0;
        double rms = 0;
        double heldOut = 0;
        double cost = 0;
        List<string> told = [];
        foreach (string side in new[] { "left", "right" })
        {
            string[] pictures =
            [
                .. Directory
                    .EnumerateFiles(Path.Combine(data, "chessboard"), side + "*.jpg")
                    .Order(StringComparer.Ordinal),
            ];
            HillrowProcess.Ended whole = Lens(run, side, pictures);
            HillrowProcess.Ended half = Lens(run, side + "-odd", [.. pictures.Where((_, at) => at % 2 == 0)]);
            worst = Math.Max(worst, Math.Max(whole.Code, half.Code));
            if (worst != 0)
            {
                run.Say(whole.Said + half.Said);
                break;
            }

            rms = Math.Max(rms, whole.Result.GetProperty("rmsPixels").GetDouble());
            heldOut = Math.Max(heldOut, ResectedRms(LensOf(half.Result), [.. pictures.Where((_, at) => at % 2 == 1)]));
            cost = Math.Max(cost, CostOverGeneral(Used(whole.Result)));
            JsonElement values = whole.Result.GetProperty("values");
            told.Add(
                FormattableString.Invariant(
                    $"{side}: {whole.Result.GetProperty("used").GetInt32()} of {pictures.Length} pictures, focal {values.GetProperty("focalColumnsPixels").GetDouble():0.00} ± {whole.Result.GetProperty("sigmas").GetProperty("focalColumnsPixels").GetDouble():0.00} px, rms {whole.Result.GetProperty("rmsPixels").GetDouble():0.000}"
                )
            );
        }

        string how = string.Join("; ", told);
        yield return new Figure("boards.exitCode", worst, "./hillrow camera lens; " + how);
        yield return new Figure(
            "boards.rmsOverPublished",
            worst == 0 ? rms / PublishedRms : double.NaN,
            FormattableString.Invariant(
                $"larger of two lenses, over {PublishedRms} px of left_intrinsics.yml (focal {PublishedFocal}); {how}"
            )
        );
        yield return new Figure(
            "boards.heldOutRmsPixels",
            worst == 0 ? heldOut : double.NaN,
            "lens from every other picture, the poses of the rest found with it; larger of two lenses; median picture"
        );
        yield return new Figure(
            "boards.costOverGeneralSolver",
            worst == 0 ? cost : double.NaN,
            "sum of squares of our solver over OpenCV's on the same corners and unknowns; larger of two lenses"
        );
    }

    private static HillrowProcess.Ended Lens(ValidationRun run, string name, string[] pictures) =>
        HillrowProcess.Run([
            "camera",
            "lens",
            .. pictures,
            "--corners",
            "9x6",
            "--output",
            Path.Combine(run.ScratchFolder, name + ".toml"),
            "--json",
        ]);

    private static BrownConradyLens LensOf(JsonElement result)
    {
        JsonElement values = result.GetProperty("values");
        double Value(string name) => values.GetProperty(name).GetDouble();
        return new BrownConradyLens(
            result.GetProperty("rows").GetInt32(),
            result.GetProperty("columns").GetInt32(),
            new BrownConradyValues(
                Value("focalColumnsPixels"),
                Value("focalRowsPixels"),
                new PixelPoint(Value("principalColumn"), Value("principalRow")),
                Value("k1"),
                Value("k2"),
                Value("p1"),
                Value("p2"),
                Value("k3")
            )
        );
    }

    private static string[] Used(JsonElement result) =>
        [
            .. result
                .GetProperty("pictures")
                .EnumerateArray()
                .Where(picture => picture.GetProperty("why").ValueKind == JsonValueKind.Null)
                .Select(picture => picture.GetProperty("file").GetString()!),
        ];

    private static double ResectedRms(BrownConradyLens lens, string[] pictures)
    {
        double[] each =
        [
            .. pictures
                .Select(Corners)
                .OfType<IReadOnlyList<PixelPoint>>()
                .Select(seen => Resection.Solve(lens, Board.CornersMillimetres(), seen)!.RmsPixels)
                .Order(),
        ];
        return each[each.Length / 2];
    }

    private static double CostOverGeneral(string[] pictures)
    {
        IReadOnlyList<PixelPoint>[] seen = [.. pictures.Select(picture => Corners(picture)!)];
        Picture first = PictureReader.Read(pictures[0]);
        BoardLensResult own = BoardLens.Solve(first.Rows, first.Columns, Board.CornersMillimetres(), seen)!;
        double[,] camera =
        {
            { 500, 0, (first.Columns - 1) / 2.0 },
            { 0, 500, (first.Rows - 1) / 2.0 },
            { 0, 0, 1 },
        };
        double general = Cv2.CalibrateCamera(
            seen.Select(_ =>
                Board.CornersMillimetres().Select(place => new Point3f((float)place.X, (float)place.Y, 0))
            ),
            seen.Select(places =>
                places.Select(place => new Point2f((float)(place.Column - 0.5), (float)(place.Row - 0.5)))
            ),
            new Size(first.Columns, first.Rows),
            camera,
            new double[5],
            out _,
            out _,
            CalibrationFlags.FixAspectRatio,
            new TermCriteria(CriteriaTypes.Eps | CriteriaTypes.MaxIter, 1000, 1e-14)
        );
        return own.RmsPixels * own.RmsPixels / (general * general);
    }

    private static IReadOnlyList<PixelPoint>? Corners(string file)
    {
        Picture picture = PictureReader.Read(file);
        byte[] grey = new byte[picture.Rows * picture.Columns];
        for (int at = 0; at < grey.Length; at++)
        {
            grey[at] = (byte)picture.Counts(picture.Bands >= 3 ? 1 : 0)[at];
        }

        return BoardCorners.Find(grey, picture.Rows, picture.Columns, Board);
    }
}
