using System.Globalization;
using Hillrow.Imaging;

namespace Hillrow.Intake;

/// <summary>Keeps the frames of one camera and sets those of others apart, told together.</summary>
/// <remarks>
/// A rig whose bands each have a model or serial number of their own is one camera: two marks are two cameras only when
/// both took the same band. The profile does not name its camera's serial number, so the camera with the most frames is
/// taken to be meant.
/// </remarks>
internal static class CameraSplit
{
    private const int ToldOneByOne = 3;

    public static IReadOnlyList<CardFrame> Keep(
        CameraProfile profile,
        IReadOnlyList<CardFrame> frames,
        List<IntakeNote> notes
    )
    {
        TogetherByCamera(notes);
        (CameraMark Mark, int Frames, HashSet<string> Bands)[] marks =
        [
            .. frames
                .Where(frame => !frame.Mark.IsEmpty)
                .GroupBy(frame => frame.Mark)
                .Select(group => (group.Key, group.Count(), group.Select(frame => frame.Band).ToHashSet()))
                .OrderByDescending(group => group.Item2)
                .ThenBy(group => group.Key.ToString(), StringComparer.Ordinal),
        ];
        if (marks.Length < 2)
        {
            return frames;
        }

        HashSet<CameraMark> own = [marks[0].Mark];
        HashSet<string> taken = [.. marks[0].Bands];
        foreach ((CameraMark mark, _, HashSet<string> bands) in marks.Skip(1))
        {
            // Said less than the others say: not another camera for that.
            bool lessSaid = own.Any(one =>
                (mark.Model.Length == 0 || mark.Model == one.Model)
                && (mark.Serial.Length == 0 || one.Serial.Length == 0 || mark.Serial == one.Serial)
            );
            if (lessSaid || !bands.Overlaps(taken))
            {
                own.Add(mark);
                taken.UnionWith(bands);
                continue;
            }

            CardFrame[] others = [.. frames.Where(frame => frame.Mark == mark)];
            notes.Add(
                new IntakeNote(
                    NoteWeight.Excluded,
                    others[0].File,
                    string.Create(
                        CultureInfo.InvariantCulture,
                        $"and {others.Length - 1} more frames are of another camera ({mark}) than most ({marks[0].Mark}): set apart."
                    ),
                    "Give that camera's pictures to an intake of their own, with its own profile."
                )
                {
                    Fault = FrameFault.OtherCamera,
                    Camera = mark.ToString(),
                    Files = others.Length,
                }
            );
        }

        return own.Count == marks.Length
            ? frames
            : [.. frames.Where(frame => frame.Mark.IsEmpty || own.Contains(frame.Mark))];
    }

    /// <summary>Hundreds of lines of one cause are one line.</summary>
    private static void TogetherByCamera(List<IntakeNote> notes)
    {
        foreach (
            IGrouping<(string Camera, string What), IntakeNote> many in notes
                .Where(note => note.Fault == FrameFault.OtherCamera)
                .GroupBy(note => (note.Camera, note.Camera.Length > 0 ? "" : note.What))
                .Where(group => group.Count() > ToldOneByOne)
                .ToArray()
        )
        {
            IntakeNote first = many.First();
            int at = notes.IndexOf(first);
            HashSet<IntakeNote> told = new(many, ReferenceEqualityComparer.Instance);
            notes.RemoveAll(told.Contains);
            string camera = many.Key.Camera.Length > 0 ? $" of another camera ({many.Key.Camera})" : " alike";
            notes.Insert(
                Math.Min(at, notes.Count),
                first with
                {
                    What = string.Create(
                        CultureInfo.InvariantCulture,
                        $"{first.What.TrimEnd('.')}; so do {told.Count - 1} more files{camera}: set apart."
                    ),
                    Files = told.Count,
                }
            );
        }
    }
}
