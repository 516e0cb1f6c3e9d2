using System.Globalization;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Intake;

/// <summary>Looks at every frame and says which are not as they should be.</summary>
internal sealed class FrameJudging(FieldCheckInput input, FieldCheckSettings settings)
{
    /// <summary>Neighbours on each side that sharpness and brightness are compared with.</summary>
    private const int Reach = 8;

    private readonly IReadOnlyList<IntakeCapture> captures = input.Intake.Captures;

    public List<FrameFinding> Findings { get; } = [];

    /// <summary>By capture, by frame; null where pixels could not be read.</summary>
    public FrameLook?[][] Looks { get; private set; } = [];

    /// <summary>By capture: of its reference band; null where there is none.</summary>
    public FrameThumbnail?[] Thumbnails { get; private set; } = [];

    public void Run(IProgress<WorkProgress>? progress, CancellationToken cancel)
    {
        FromNotes();
        Look(progress, cancel);
        Light();
        Blur();
        Positions();
        Findings.Sort(
            (one, other) =>
                (
                    string.CompareOrdinal(one.Capture, other.Capture),
                    string.CompareOrdinal(one.Where, other.Where),
                    one.Fault.CompareTo(other.Fault)
                ) switch
                {
                    (not 0 and var order, _, _) => order,
                    (_, not 0 and var order, _) => order,
                    (_, _, var order) => order,
                }
        );
    }

    /// <summary>What concerns the survey as a whole.</summary>
    public void AddOfSurvey(IEnumerable<(FrameFault Fault, string Reason)> found) =>
        Findings.AddRange(found.Select(one => new FrameFinding(one.Fault, "", "survey", one.Reason, false)));

    /// <summary>What intake left out already.</summary>
    private void FromNotes()
    {
        foreach (IntakeNote note in input.Intake.Notes)
        {
            if (note.Fault is { } kind)
            {
                Findings.Add(
                    new FrameFinding(
                        kind,
                        "",
                        note.Where,
                        note.What,
                        kind is not (FrameFault.MissingBand or FrameFault.Misnamed or FrameFault.Clock)
                    )
                    {
                        Count = note.Files,
                    }
                );
            }
        }
    }

    private void Look(IProgress<WorkProgress>? progress, CancellationToken cancel)
    {
        Looks = new FrameLook?[captures.Count][];
        Thumbnails = new FrameThumbnail?[captures.Count];
        List<FrameFinding>[] unread = new List<FrameFinding>[captures.Count];
        int done = 0;
        Parallel.For(
            0,
            captures.Count,
            new ParallelOptions { MaxDegreeOfParallelism = settings.Threads, CancellationToken = cancel },
            at =>
            {
                unread[at] = [];
                PageLook[] seen = [.. captures[at].Capture.Frames.Select(frame => LookAt(frame, unread[at]))];
                Looks[at] = [.. seen.Select(look => look.Look)];
                Thumbnails[at] = Array.Find(seen, look => look.Thumbnail is not null)?.Thumbnail;
                int count = Interlocked.Increment(ref done);
                if (count % 16 == 0)
                {
                    progress?.Report(new WorkProgress("looking at the pictures", (double)count / captures.Count));
                }
            }
        );
        Findings.AddRange(unread.SelectMany(list => list));
    }

    private PageLook LookAt(BandFrame frame, List<FrameFinding> unread)
    {
        CameraBand band = input.Profile.Band(frame.Band);
        PageLook seen =
            input
                .Looks?.GetValueOrDefault(frame.File)
                ?.FirstOrDefault(look => (look.Page, look.Plane) == (frame.Page, frame.Plane))
            ?? FrameLooking.At(
                input.Profile,
                () => PictureFile.Open(Path.Combine(input.RootFolder, frame.File)),
                frame.Page,
                band,
                frame.BlackLevelCounts ?? band.BlackLevel.Counts
            );
        if (seen.Problem is { } problem)
        {
            unread.Add(
                new FrameFinding(
                    seen.OtherCamera ? FrameFault.OtherCamera : FrameFault.Unreadable,
                    "",
                    frame.File,
                    problem,
                    true
                )
            );
        }

        return seen;
    }

    private static string Percent(double share) => (100 * share).ToString("0.#", CultureInfo.InvariantCulture) + " %";

    private void Light()
    {
        for (int at = 0; at < captures.Count; at++)
        {
            if (captures[at].Role != CaptureRole.Survey)
            {
                continue;
            }

            Capture capture = captures[at].Capture;
            for (int frame = 0; frame < capture.Frames.Count; frame++)
            {
                if (
                    Looks[at][frame] is not { } look
                    || input.Profile.Band(capture.Frames[frame].Band).Kind == BandKind.Thermal
                )
                {
                    continue;
                }

                if (look.SaturatedShare > settings.SaturatedShare)
                {
                    Findings.Add(
                        new FrameFinding(
                            FrameFault.Saturated,
                            capture.Id,
                            capture.Frames[frame].File,
                            $"{Percent(look.SaturatedShare)} of its pixels are clipped.",
                            false
                        )
                    );
                }
                else if (look.MeanShare < settings.DarkShare)
                {
                    Findings.Add(
                        new FrameFinding(
                            FrameFault.Dark,
                            capture.Id,
                            capture.Frames[frame].File,
                            $"its mean is {Percent(look.MeanShare)} of the range.",
                            false
                        )
                    );
                }
            }
        }
    }

    /// <summary>A capture is blurred when most of its bands are much less sharp than the same bands around it.</summary>
    private void Blur()
    {
        int[] survey = [.. Enumerable.Range(0, captures.Count).Where(at => captures[at].Role == CaptureRole.Survey)];
        Dictionary<string, double?[]> byBand = input.Profile.Bands.ToDictionary(
            band => band.Name,
            band =>
                survey
                    .Select(at =>
                    {
                        int frame = captures[at].Capture.Frames.ToList().FindIndex(one => one.Band == band.Name);
                        return frame < 0 ? null : Looks[at][frame]?.Sharpness;
                    })
                    .ToArray()
        );
        for (int place = 0; place < survey.Length; place++)
        {
            List<double> ratios = [];
            foreach (double?[] series in byBand.Values)
            {
                double[] around =
                [
                    .. Enumerable
                        .Range(place - Reach, (2 * Reach) + 1)
                        .Where(at => at >= 0 && at < series.Length && at != place)
                        .Select(at => series[at])
                        .OfType<double>()
                        .Order(),
                ];
                if (series[place] is { } own && around.Length >= 4)
                {
                    // The upper half: a burst of blurred neighbours must not hide the blur.
                    ratios.Add(own / Math.Max(1e-9, around[around.Length * 2 / 3]));
                }
            }

            ratios.Sort();
            if (ratios.Count > 0 && ratios[ratios.Count / 2] < settings.BlurRatio)
            {
                Capture capture = captures[survey[place]].Capture;
                Findings.Add(
                    new FrameFinding(
                        FrameFault.Blurred,
                        capture.Id,
                        $"capture {capture.Id} ({capture.Frames[0].File})",
                        $"is {Percent(ratios[ratios.Count / 2])} as sharp as its neighbours.",
                        true
                    )
                );
            }
        }
    }

    private void Positions()
    {
        foreach (
            IGrouping<string, IntakeCapture> sortie in captures
                .Where(one => one.Role is CaptureRole.Survey or CaptureRole.Turn)
                .GroupBy(one => one.Capture.Sortie)
        )
        {
            IntakeCapture[] placed = [.. sortie.Where(one => one.Capture is { Position: not null, TimeUtc: not null })];
            foreach (IntakeCapture lost in sortie.Where(one => one.Capture.Position is null))
            {
                Findings.Add(
                    new FrameFinding(
                        FrameFault.NoPosition,
                        lost.Capture.Id,
                        $"capture {lost.Capture.Id} ({lost.Capture.Frames[0].File})",
                        "tells no position.",
                        true
                    )
                );
            }

            if (placed.Length == 0)
            {
                continue;
            }

            DateTimeOffset start = placed[0].Capture.TimeUtc!.Value;
            double[] leaps = PositionJumps.Find(
                [.. placed.Select(one => FieldCheck.PlaceOf(input.Frame, one.Capture.Position!))],
                [.. placed.Select(one => (one.Capture.TimeUtc!.Value - start).TotalSeconds)],
                settings.PositionJumpMetres,
                out double[] stays
            );
            for (int at = 0; at < placed.Length; at++)
            {
                if (stays[at] > 0)
                {
                    Capture after = placed[at].Capture;
                    Findings.Add(
                        new FrameFinding(
                            FrameFault.PositionOutlier,
                            after.Id,
                            $"capture {after.Id} ({after.Frames[0].File})",
                            string.Create(
                                CultureInfo.InvariantCulture,
                                $"its position leaps {stays[at]:0} m from the capture before and stays there: one side of the leap is misplaced."
                            ),
                            false
                        )
                    );
                }

                if (leaps[at] > 0 && placed[at].Role == CaptureRole.Survey)
                {
                    Capture capture = placed[at].Capture;
                    Findings.Add(
                        new FrameFinding(
                            FrameFault.PositionOutlier,
                            capture.Id,
                            $"capture {capture.Id} ({capture.Frames[0].File})",
                            string.Create(
                                CultureInfo.InvariantCulture,
                                $"its position leaps {leaps[at]:0} m away and back."
                            ),
                            true
                        )
                    );
                }
            }
        }
    }
}
