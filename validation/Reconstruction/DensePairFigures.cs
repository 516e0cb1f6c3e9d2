using Hillrow.TestSupport;
using OpenCvSharp;

namespace Hillrow.Validation.Reconstruction;

/// <summary>
/// Dense matching of real pairs with true disparity, against OpenCV's semi-global matcher at the settings that suit each
/// pair best.
/// </summary>
/// <remarks>
/// Fixed before measuring: a pixel is bad when its disparity is more than 1 pixel off (2 pixels on the pair of 1282
/// columns, whose truth comes in whole pixels), the usual thresholds for pictures of these sizes; all pixels with known
/// truth count, hidden ones too; holes of both matchers are filled the same way, then both get the same 3 × 3 median.
/// Ours runs once, with the stage's own settings. D. Scharstein, R. Szeliski 2002, doi 10.1023/A:1014573219977.
/// </remarks>
public sealed class DensePairFigures : FigureSource
{
    public override string Area => "reconstruction";

    public override int Order => 10;

    public override IEnumerable<Figure> Measure(ValidationRun run)
    {
        if (RepositoryFiles.OpenData("calib-stereo-opencv") is not { } folder)
        {
            run.Say("the real pairs are not there");
            yield break;
        }

        double ours = 0;
        double theirs = 0;
        List<string> told = [];
        foreach (DensePair pair in Pairs(folder, run.Quick))
        {
            double own = pair.BadShare(pair.ByOwnKernels());
            (double best, string how) = Best(pair);
            string line = FormattableString.Invariant($"{pair.Name} {own:P1} to {best:P1} ({how})");
            run.Say(line);
            told.Add(line);
            ours += own;
            theirs += best;
        }

        yield return new Figure(
            "dense.badPixelsToYardstick",
            ours / theirs,
            $"bad pixels of ours to those of OpenCV's semi-global matcher at its best: {string.Join("; ", told)}"
        );
    }

    /// <summary>First paths, block and penalties over their whole range, then the lesser settings at the best of those.</summary>
    private static (double Bad, string How) Best(DensePair pair)
    {
        MatcherSettings[] first =
        [
            .. from mode in (int[])[0, 1]
            from block in (int[])[1, 3, 5, 7]
            from penalties in ((int, int)[])[(2, 8), (4, 16), (8, 32), (8, 64), (16, 96)]
            select new MatcherSettings(mode, block, penalties.Item1, penalties.Item2, 63, 0),
        ];
        (double Bad, MatcherSettings How) best = first.Select(how => (Bad: Bad(how), how)).MinBy(entry => entry.Bad);
        MatcherSettings[] second =
        [
            .. from cap in (int[])[15, 31, 63]
            from unique in (int[])[0, 5, 10]
            select best.How with
            {
                Cap = cap,
                Unique = unique,
            },
        ];
        best = second.Select(how => (Bad: Bad(how), how)).Append(best).MinBy(entry => entry.Bad);
        return (best.Bad, best.How.ToString());

        double Bad(MatcherSettings how) => pair.BadShare(pair.BySemiGlobalMatcher(how));
    }

    private static IEnumerable<DensePair> Pairs(string folder, bool quick)
    {
        foreach (string name in (string[])["teddy", "cones"])
        {
            yield return Pair(folder, name, "im2.png", "im6.png", "disp2.pgm", 4, 64, 1);
        }

        if (!quick)
        {
            yield return Pair(folder, "aloe", "aloeL.jpg", "aloeR.jpg", "aloeGT.png", 1, 224, 2);
        }
    }

    private static DensePair Pair(
        string folder,
        string name,
        string left,
        string right,
        string truth,
        double perPixel,
        int levels,
        double bad
    )
    {
        string Of(string file) => Path.Combine(folder, name, file);
        using Mat true8 = Cv2.ImRead(Of(truth), ImreadModes.Grayscale);
        true8.GetArray(out byte[] bytes);
        return new DensePair(
            name,
            Cv2.ImRead(Of(left), ImreadModes.Grayscale),
            Cv2.ImRead(Of(right), ImreadModes.Grayscale),
            [.. bytes.Select(value => (float)(value / perPixel))],
            levels,
            bad
        );
    }
}
