using Hillrow.Imaging;
using Hillrow.Sight;

namespace Hillrow.Reconstruction;

/// <summary>Views of captures, read when first asked for and let go of when nobody needs them any more.</summary>
/// <remarks>
/// Work is done in turns, each of which needs some views; turns are begun in order and may end in any. Safe from many
/// threads.
/// </remarks>
internal sealed class ViewStore
{
    /// <summary>Views kept for later turns, at most; on longer lines those needed last are read again.</summary>
    private const int MostKept = 100;

    /// <summary>Pixels of the views kept: half a gigabyte, with their smaller sizes.</summary>
    private const int MostPixelsKept = 200_000_000;

    private readonly ReconstructionInput input;
    private readonly IReadOnlyList<CameraPose> poses;
    private readonly LevelCamera camera;
    private readonly int pixels;
    private readonly string band;
    private readonly Dictionary<int, int[]> turnsOf;
    private readonly bool[] ended;
    private readonly Dictionary<int, Lazy<LevelView>> views = [];
    private readonly Lock gate = new();
    private int firstOpen;

    /// <param name="input">Captures and frames.</param>
    /// <param name="poses">By capture.</param>
    /// <param name="lens">Of the reference band.</param>
    /// <param name="needed">By turn: the captures whose views it asks for.</param>
    public ViewStore(
        ReconstructionInput input,
        IReadOnlyList<CameraPose> poses,
        Lens lens,
        IReadOnlyList<IReadOnlyCollection<int>> needed
    )
    {
        this.input = input;
        this.poses = poses;
        camera = new LevelCamera(lens);
        pixels = lens.Rows * lens.Columns;
        band = input.Profile.ReferenceBandName;
        ended = new bool[needed.Count];
        turnsOf = needed
            .SelectMany((captures, turn) => captures.Select(capture => (Capture: capture, Turn: turn)))
            .GroupBy(entry => entry.Capture)
            .ToDictionary(group => group.Key, group => group.Select(entry => entry.Turn).Order().ToArray());
    }

    /// <summary>Whether frames are so large that they are reduced.</summary>
    public bool AreOfLargeFrames => camera.Reduction > 1;

    /// <summary>The view of a capture; reads it unless it is at hand.</summary>
    public LevelView Of(int capture)
    {
        Lazy<LevelView>? view;
        lock (gate)
        {
            if (!views.TryGetValue(capture, out view))
            {
                views[capture] = view = new Lazy<LevelView>(() => Read(capture));
            }
        }

        return view.Value;
    }

    /// <summary>Tells that a turn is done with its views.</summary>
    public void End(int turn)
    {
        lock (gate)
        {
            ended[turn] = true;
            while (firstOpen < ended.Length && ended[firstOpen])
            {
                firstOpen++;
            }

            foreach (int capture in views.Keys.Where(capture => turnsOf[capture][^1] < firstOpen).ToArray())
            {
                views.Remove(capture);
            }

            foreach (
                int capture in views
                    .Keys.OrderByDescending(NextTurn)
                    .ThenBy(capture => capture)
                    .Take(
                        Math.Max(0, views.Count - Math.Min(MostKept, MostPixelsKept / (camera.Rows * camera.Columns)))
                    )
                    .ToArray()
            )
            {
                views.Remove(capture);
            }
        }
    }

    private int NextTurn(int capture) => Array.Find(turnsOf[capture], turn => !ended[turn]);

    private LevelView Read(int capture)
    {
        Capture own = input.Captures[capture];
        ushort[] counts = System.Buffers.ArrayPool<ushort>.Shared.Rent(pixels);
        try
        {
            Span<ushort> frame = counts.AsSpan(0, pixels);
            input.Frames(own, own.FrameOf(band)!, frame);
            return LevelView.Of(poses[capture], camera, camera.Take(frame));
        }
        finally
        {
            System.Buffers.ArrayPool<ushort>.Shared.Return(counts);
        }
    }
}
