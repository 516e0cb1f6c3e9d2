using Hillrow.Imaging;
using Hillrow.Sight;

namespace Hillrow.Reconstruction;

/// <summary>Views of captures, read when asked for and kept while memory allows.</summary>
internal sealed class ViewStore(ReconstructionInput input, IReadOnlyList<CameraPose> poses, Lens lens)
{
    /// <summary>Views kept: a third of a gigabyte at two megapixels; on longer lines some are read twice.</summary>
    private const int MostKept = 100;

    private readonly LevelCamera camera = new(lens);
    private readonly Dictionary<int, LevelView> views = [];
    private readonly string band = input.Profile.ReferenceBandName;

    /// <summary>Focal length, pixels.</summary>
    public double FocalPixels => camera.FocalPixels;

    public bool Has(int capture) => input.Captures[capture].FrameOf(band) is not null;

    public LevelView this[int capture] => views[capture];

    /// <summary>Lets go of all.</summary>
    public void Clear() => views.Clear();

    /// <summary>Reads what is missing and lets go of what was not asked for, when there is too much.</summary>
    /// <param name="wanted">Captures needed next, in order.</param>
    /// <param name="options">Threads.</param>
    public void Bring(IReadOnlyCollection<int> wanted, ParallelOptions options)
    {
        HashSet<int> needed = [.. wanted];
        int over = views.Count + needed.Count(capture => !views.ContainsKey(capture)) - MostKept;
        foreach (
            int capture in views
                .Keys.Where(capture => !needed.Contains(capture))
                .Order()
                .Take(Math.Max(0, over))
                .ToArray()
        )
        {
            views.Remove(capture);
        }

        int[] missing = [.. needed.Where(capture => !views.ContainsKey(capture)).Order()];
        LevelView[] read = new LevelView[missing.Length];
        Parallel.For(
            0,
            missing.Length,
            options,
            () => new ushort[lens.Rows * lens.Columns],
            (index, _, counts) =>
            {
                Capture capture = input.Captures[missing[index]];
                input.Frames(capture, capture.FrameOf(band)!, counts);
                read[index] = LevelView.Of(poses[missing[index]], camera, camera.Take(counts));
                return counts;
            },
            _ => { }
        );
        for (int index = 0; index < missing.Length; index++)
        {
            views[missing[index]] = read[index];
        }
    }
}
