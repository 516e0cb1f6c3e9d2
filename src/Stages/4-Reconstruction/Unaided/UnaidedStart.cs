using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>Places a survey without recorded positions: by its pictures, then onto ground control or what positions there are.</summary>
internal static class UnaidedStart
{
    /// <summary>Fewer recorded positions do not fix place, turn and scale.</summary>
    public const int LeastPositions = 3;

    /// <summary>A spot below each capture, where it should look, keeps a single flown line from rolling over.</summary>
    private const double LookWeight = 0.2;

    /// <summary>False when too little could be placed or nothing tells where it lies; nothing is then placed.</summary>
    public static bool Place(
        SurveyAdjustment adjustment,
        CaptureFeatures[] features,
        SurveyPriors priors,
        ControlSurvey control,
        ReconstructionSettings settings,
        ParallelOptions options
    )
    {
        UnaidedPlacement placement = new(adjustment, features, settings, options);
        if (placement.Run() < 3 || World(adjustment, priors, control, settings) is not { } world)
        {
            Array.Fill(adjustment.Placed, false);
            return false;
        }

        adjustment.Move(world);
        if (control.Holds)
        {
            control.Apply(adjustment);
        }

        _ = adjustment.Solve(4, farOff: true, 30);
        _ = adjustment.DropWorse(8);
        _ = adjustment.Solve(3, farOff: false, 20);
        _ = adjustment.DropWorse(6);
        return true;
    }

    private static SimilarityMove? World(
        SurveyAdjustment adjustment,
        SurveyPriors priors,
        ControlSurvey control,
        ReconstructionSettings settings
    )
    {
        if (
            control.Holds
            && WorldFit.Of([.. control.Met(adjustment).Select(pair => (pair.Ours, pair.Surveyed, 1.0))])
                is { } onControl
        )
        {
            return onControl;
        }

        List<(Vector3D, Vector3D, double)> pairs = [];
        for (int index = 0; index < priors.Captures.Count; index++)
        {
            if (adjustment.Placed[index] && adjustment.PositionCounts[index])
            {
                CameraPose pose = adjustment.Poses[index];
                CameraPose told = priors.Captures[index].Pose;
                double height = settings.TypicalHeightAboveGroundMetres;
                pairs.Add((pose.CentreLocalMetres, told.CentreLocalMetres, 1));
                pairs.Add(
                    (
                        pose.CentreLocalMetres + (pose.ViewLocal * height),
                        told.CentreLocalMetres + (told.ViewLocal * height),
                        LookWeight
                    )
                );
            }
        }

        return pairs.Count >= 2 * LeastPositions ? WorldFit.Of(pairs) : null;
    }
}
