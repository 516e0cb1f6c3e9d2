using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Mapping;

/// <summary>How bright each patch looks to the captures that may show it, in one band: where two agree, a seam is not seen.</summary>
/// <remarks>Two bytes a candidate of a patch. Each frame of the one band is read once more.</remarks>
internal sealed class PatchLooks
{
    /// <summary>Candidates dearer than the cheapest by more are not asked: seams do not go so far.</summary>
    private const float DearerBy = 0.05f;

    /// <summary>What two captures are taken to differ by where one was not asked; canopy's usual difference.</summary>
    private const float UsualDifference = 0.06f;

    /// <summary>More is a crown's edge seen past: no dearer than this.</summary>
    private const float MostDifference = 0.3f;

    private readonly PatchCandidates candidates;
    private readonly Half[] logs;

    private PatchLooks(PatchCandidates candidates)
    {
        this.candidates = candidates;
        logs = new Half[candidates.Views.Length];
        Array.Fill(logs, Half.NaN);
    }

    public static PatchLooks Take(
        PatchGrid patches,
        PatchCandidates candidates,
        IReadOnlyList<CaptureView> views,
        MappingInput input,
        ParallelOptions parallel
    )
    {
        PatchLooks looks = new(candidates);
        int band = input.Normalisation?.CoverBands?.Red ?? (input.Frames.Bands.Count / 2);
        int[][] asked = Asked(candidates, views.Count);
        GarbageLimit garbage = new();
        Parallel.For(
            0,
            views.Count,
            parallel,
            () => Array.Empty<float>(),
            (view, _, buffer) =>
            {
                if (asked[view].Length == 0)
                {
                    return buffer;
                }

                BandView seen = views[view].Bands[band];
                int pixels = seen.Rows * seen.Columns;
                float[] frame = buffer.Length == pixels ? buffer : new float[pixels];
                input.Frames.Load(views[view].Id, input.Frames.Bands[band], frame, []);
                looks.TakeFrom(patches, views[view], band, frame, asked[view], input);
                garbage.Hold();
                return frame;
            },
            _ => { }
        );
        return looks;
    }

    /// <summary>How far two captures are apart over a patch, |ln|; the usual difference where one does not know.</summary>
    public float Difference(int patch, int one, int other)
    {
        int first = IndexOf(patch, one);
        int second = IndexOf(patch, other);
        float apart = first < 0 || second < 0 ? float.NaN : MathF.Abs((float)logs[first] - (float)logs[second]);
        return float.IsNaN(apart) ? UsualDifference : MathF.Min(apart, MostDifference);
    }

    private int IndexOf(int patch, int view)
    {
        int start = patch * candidates.Most;
        int at = candidates.Views.AsSpan(start, candidates.Counts[patch]).IndexOf((ushort)view);
        return at < 0 ? -1 : start + at;
    }

    /// <summary>By view the candidates it is asked about, as positions among all.</summary>
    private static int[][] Asked(PatchCandidates candidates, int views)
    {
        int[] counts = new int[views];
        Each(at => counts[candidates.Views[at]]++);
        int[][] asked = [.. counts.Select(count => new int[count])];
        Each(at => asked[candidates.Views[at]][--counts[candidates.Views[at]]] = at);
        return asked;

        void Each(Action<int> take)
        {
            for (int patch = 0; patch < candidates.Counts.Length; patch++)
            {
                int start = patch * candidates.Most;
                for (int at = start; at < start + candidates.Counts[patch]; at++)
                {
                    if (candidates.Counts[patch] > 1 && candidates.Costs[at] <= candidates.Costs[start] + DearerBy)
                    {
                        take(at);
                    }
                }
            }
        }
    }

    private void TakeFrom(PatchGrid patches, CaptureView view, int band, float[] frame, int[] asked, MappingInput input)
    {
        string name = input.Frames.Bands[band];
        bool turned = input.Normalisation?.IsNormalised(view.Id, name) == true;
        BandView seen = view.Bands[band];
        foreach (int at in asked)
        {
            int patch = at / candidates.Most;
            double row = ((patch / patches.Columns) + 0.5) * patches.Size;
            double column = ((patch % patches.Columns) + 0.5) * patches.Size;
            double height = candidates.CentreHeights[patch];
            Vector3D middle = patches.ToLocal(row, column, height);
            PixelPoint pixel = seen.PlaceOf(middle);
            PixelPoint edge = seen.PlaceOf(patches.ToLocal(row, column + (patches.Size / 2.0), height));
            double half = Math.Sqrt(Square(edge.Column - pixel.Column) + Square(edge.Row - pixel.Row));
            float mean = Mean(frame, seen, pixel, half);
            double factor = turned ? input.Normalisation!.FactorsAt(view.Id, name, pixel).At(CoverShare.Unknown) : 1;
            logs[at] = (Half)Math.Log(mean * factor);
        }
    }

    /// <summary>Over a square of pixels; NaN when the place or a pixel is not known, or nothing is bright.</summary>
    private static float Mean(float[] frame, BandView seen, PixelPoint pixel, double half)
    {
        if (!(half < seen.Rows) || !(pixel.Column >= 0 && pixel.Row >= 0))
        {
            return float.NaN;
        }

        int left = Math.Max(0, (int)Math.Round(pixel.Column - half));
        int top = Math.Max(0, (int)Math.Round(pixel.Row - half));
        int right = Math.Min(seen.Columns, Math.Max(left + 1, (int)Math.Round(pixel.Column + half)));
        int bottom = Math.Min(seen.Rows, Math.Max(top + 1, (int)Math.Round(pixel.Row + half)));
        double sum = 0;
        for (int row = top; row < bottom; row++)
        {
            for (int column = left; column < right; column++)
            {
                sum += frame[(row * seen.Columns) + column];
            }
        }

        int count = (right - left) * (bottom - top);
        return count > 0 && sum > 0 ? (float)(sum / count) : float.NaN;
    }

    private static double Square(double value) => value * value;
}
