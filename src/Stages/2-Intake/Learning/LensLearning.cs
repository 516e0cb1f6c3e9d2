using System.Globalization;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Numerics.Statistics;

namespace Hillrow.Intake;

/// <summary>Learns one lens from pictures of a chess board, leaving out pictures that do not fit the others.</summary>
public static class LensLearning
{
    /// <summary>A picture this many times worse than the middle one was moved while exposed, or its corners were misread.</summary>
    private const double MisfitRatio = 3;

    /// <summary>Fewer are told; common practice, no source.</summary>
    private const int EnoughPictures = 8;

    /// <summary>Corners that end earlier leave the distortion of the frame's corners to guesswork; common practice, no source.</summary>
    private const double EnoughReach = 0.8;

    /// <summary>A focal length less sure than this is worth another round of pictures: 0.5 % is 20 cm of height at 40 m.</summary>
    private const double EnoughFocalShare = 0.005;

    private const double DarkShare = 0.01;
    private const double BrightShare = 0.99;
    private static readonly string[] Endings = [".tif", ".tiff", ".jpg", ".jpeg"];

    /// <param name="places">Pictures, or folders of them (not those below); all of one lens.</param>
    /// <param name="board">What was photographed.</param>
    /// <param name="plane">Sample of each pixel, from 0; null: the second of a colour picture (green), else the first.</param>
    /// <param name="progress">Told after each picture.</param>
    /// <param name="cancel">Stops the work.</param>
    /// <exception cref="InputProblemException">No pictures, of different sizes, too few with the whole board, or no lens comes out.</exception>
    public static LearnedLens Run(
        IReadOnlyList<string> places,
        ChessBoard board,
        int? plane = null,
        IProgress<WorkProgress>? progress = null,
        CancellationToken cancel = default
    )
    {
        ArgumentNullException.ThrowIfNull(places);
        ArgumentNullException.ThrowIfNull(board);
        string[] files = [.. places.SelectMany(Files)];
        Seen[] seen = new Seen[files.Length];
        int done = 0;
        Parallel.For(
            0,
            files.Length,
            new ParallelOptions { CancellationToken = cancel, MaxDegreeOfParallelism = Environment.ProcessorCount },
            at =>
            {
                seen[at] = Look(files[at], board, plane);
                progress?.Report(
                    new WorkProgress("looking for the board", (double)Interlocked.Increment(ref done) / files.Length)
                );
            }
        );
        RefuseUnlikeSizes(seen);
        return Solve(seen, board);
    }

    private static LearnedLens Solve(Seen[] seen, ChessBoard board)
    {
        Seen[] used = [.. seen.Where(one => one.Corners is not null)];
        if (used.Length < BoardLens.FewestPictures)
        {
            throw new InputProblemException(
                "the pictures",
                Text(
                    $"show the whole board of {board.CornersAcross} × {board.CornersDown} inner corners in {used.Length} of {seen.Length}, and {BoardLens.FewestPictures} are needed."
                ),
                "Count the corners where four squares meet, give them with --corners, and photograph the whole board, sharp and evenly lit."
            );
        }

        BoardLensResult found = Fit(used, board);
        double limit = MisfitRatio * Quantiles.Median([.. found.PictureRmsPixels]);
        Seen[] kept = [.. used.Where((_, at) => found.PictureRmsPixels[at] <= limit)];
        Dictionary<Seen, string> misfits = used.Select((one, at) => (one, Rms: found.PictureRmsPixels[at]))
            .Where(pair => !kept.Contains(pair.one))
            .ToDictionary(
                pair => pair.one,
                pair =>
                    Text(
                        $"left out: its corners lie {pair.Rms:0.00} px from the lens of all pictures, the others' far less"
                    )
            );
        if (misfits.Count > 0 && kept.Length >= BoardLens.FewestPictures)
        {
            found = Fit(kept, board);
        }
        else
        {
            (kept, misfits) = (used, []);
        }

        LensPicture[] pictures =
        [
            .. seen.Select(one =>
                Array.IndexOf(kept, one) is var at && at >= 0
                    ? new LensPicture(one.File, found.PictureRmsPixels[at], null)
                    : new LensPicture(one.File, null, misfits.GetValueOrDefault(one) ?? one.Why)
            ),
        ];
        double reach = kept.Max(one => one.Corners!.Max(place => ReachOf(place, one.Rows, one.Columns)));
        return new LearnedLens
        {
            Lens = found.Lens,
            Sigmas = found.Sigmas,
            RmsPixels = found.RmsPixels,
            ReachShare = reach,
            Pictures = pictures,
            Doubts = [.. DoubtsOf(found, kept.Length, reach)],
        };
    }

    private static IEnumerable<string> DoubtsOf(BoardLensResult found, int used, double reach)
    {
        if (used < EnoughPictures)
        {
            yield return Text($"only {used} pictures count: {EnoughPictures} or more from all sides make it surer.");
        }

        if (reach < EnoughReach)
        {
            yield return Text(
                $"the board reached {100 * reach:0} % of the way to the frame's corners: what lies beyond is guessed. Photograph it in the corners too."
            );
        }

        double share = found.Sigmas[0] / found.Lens.Values.FocalColumnsPixels;
        if (share > EnoughFocalShare)
        {
            yield return Text(
                $"the focal length is known to {100 * share:0.0} % only: tilt the board by 30° and more in several directions."
            );
        }
    }

    private static BoardLensResult Fit(Seen[] used, ChessBoard board) =>
        BoardLens.Solve(
            used[0].Rows,
            used[0].Columns,
            board.CornersMillimetres(),
            [.. used.Select(one => one.Corners!)]
        )
        ?? throw new InputProblemException(
            "the pictures",
            "settle no lens: seen straight on, a board fits any focal length.",
            "Photograph the board tilted by 30° and more in several directions, and over the whole frame."
        );

    private static double ReachOf(PixelPoint place, int rows, int columns) =>
        Math.Sqrt(Math.Pow(place.Column - (columns / 2.0), 2) + Math.Pow(place.Row - (rows / 2.0), 2))
        / (Math.Sqrt(((double)rows * rows) + ((double)columns * columns)) / 2);

    private static IEnumerable<string> Files(string place)
    {
        if (File.Exists(place))
        {
            return [place];
        }

        string[] found = Directory.Exists(place)
            ?
            [
                .. Directory
                    .EnumerateFiles(place)
                    .Where(file => Endings.Contains(Path.GetExtension(file).ToLowerInvariant()))
                    .Order(StringComparer.Ordinal),
            ]
            : throw new InputProblemException(
                place,
                "is not there.",
                "Name pictures of the board, or a folder of them."
            );
        return found.Length > 0
            ? found
            : throw new InputProblemException(
                place,
                "holds no TIFF or JPEG picture.",
                "Name pictures of the board, or a folder of them."
            );
    }

    private static Seen Look(string file, ChessBoard board, int? plane)
    {
        try
        {
            Picture picture = PictureReader.Read(file);
            int band = plane ?? (picture.Bands >= 3 ? 1 : 0);
            if (band >= picture.Bands)
            {
                return new Seen(file, 0, 0, null, Text($"left out: it has {picture.Bands} sample(s) a pixel"));
            }

            float[] values = new float[picture.Rows * picture.Columns];
            picture.CopyTo(band, values);
            IReadOnlyList<PixelPoint>? corners = BoardCorners.Find(
                Stretched(values),
                picture.Rows,
                picture.Columns,
                board
            );
            return new Seen(
                file,
                picture.Rows,
                picture.Columns,
                corners,
                corners is null ? "left out: the whole board is not seen in it" : null
            );
        }
        catch (InputProblemException fault)
        {
            return new Seen(file, 0, 0, null, "left out: " + fault.Message);
        }
    }

    /// <summary>To 8 bits between the darkest and the brightest hundredth.</summary>
    private static byte[] Stretched(float[] values)
    {
        float[] sorted = [.. values];
        float dark = OrderStatistic.Select<float>(sorted, (int)(DarkShare * (values.Length - 1)));
        float bright = OrderStatistic.Select<float>(sorted, (int)(BrightShare * (values.Length - 1)));
        float scale = bright > dark ? byte.MaxValue / (bright - dark) : 0;
        return [.. values.Select(value => (byte)Math.Clamp(MathF.Round((value - dark) * scale), 0, byte.MaxValue))];
    }

    private static void RefuseUnlikeSizes(Seen[] seen)
    {
        Seen[] read = [.. seen.Where(one => one.Rows > 0)];
        if (
            read.Length > 0
            && read.FirstOrDefault(one => one.Rows != read[0].Rows || one.Columns != read[0].Columns) is { } other
        )
        {
            throw new InputProblemException(
                other.File,
                Text(
                    $"is {other.Columns} × {other.Rows} pixels, but {Path.GetFileName(read[0].File)} is {read[0].Columns} × {read[0].Rows}."
                ),
                "Give the pictures of one lens, untrimmed."
            );
        }
    }

    private static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);

    private sealed record Seen(string File, int Rows, int Columns, IReadOnlyList<PixelPoint>? Corners, string? Why);
}
