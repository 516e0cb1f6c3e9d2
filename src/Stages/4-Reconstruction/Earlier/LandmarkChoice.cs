using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Reconstruction;

/// <summary>Takes the tie points of a placed survey that are worth being found again.</summary>
internal static class LandmarkChoice
{
    /// <summary>Spread evenly over a hectare this is a landmark for each square metre, far more than a tie needs.</summary>
    private const int Most = 40_000;

    /// <summary>A spot that three captures agree on is no accident.</summary>
    private const int LeastSights = 3;

    private const double CellMetres = 4;

    /// <summary>Landmarks for later surveys: every cell of the ground gives its best-seen spots first.</summary>
    public static Landmarks Of(
        SurveyPriors priors,
        SurveyAdjustment adjustment,
        CaptureFeatures[] features,
        bool onControl
    )
    {
        Dictionary<(int, int), List<int>> cells = [];
        for (int index = 0; index < adjustment.Points.Count; index++)
        {
            TiePoint point = adjustment.Points[index];
            if (point.Sightings.Count >= LeastSights)
            {
                (int, int) cell = (
                    (int)Math.Floor(point.Place.X / CellMetres),
                    (int)Math.Floor(point.Place.Y / CellMetres)
                );
                if (!cells.TryGetValue(cell, out List<int>? list))
                {
                    cells[cell] = list = [];
                }

                list.Add(index);
            }
        }

        List<(int Rank, int Point)> ranked = [];
        foreach (List<int> list in cells.Values)
        {
            int rank = 0;
            foreach (int point in list.OrderByDescending(entry => adjustment.Points[entry].Sightings.Count))
            {
                ranked.Add((rank++, point));
            }
        }

        int[] chosen = [.. ranked.Order().Take(Most).Select(entry => entry.Point).Order()];
        Vector3D[] places = new Vector3D[chosen.Length];
        byte[] descriptors = new byte[chosen.Length * PictureFeatures.DescriptorLength];
        for (int at = 0; at < chosen.Length; at++)
        {
            TiePoint point = adjustment.Points[chosen[at]];
            places[at] = point.Place;
            Look(point, adjustment, features)
                .CopyTo(descriptors.AsSpan(at * PictureFeatures.DescriptorLength, PictureFeatures.DescriptorLength));
        }

        return new Landmarks(priors.Frame, places, descriptors, onControl);
    }

    /// <summary>What a tie point looks like, from the capture that is most nearly above it.</summary>
    public static ReadOnlySpan<byte> Look(TiePoint point, SurveyAdjustment adjustment, CaptureFeatures[] features)
    {
        Sighting best = point.Sightings[0];
        double least = double.PositiveInfinity;
        foreach (Sighting sight in point.Sightings)
        {
            Vector3D way = adjustment.Poses[sight.Capture].CentreLocalMetres - point.Place;
            double aside = ((way.X * way.X) + (way.Y * way.Y)) / (way.Z * way.Z);
            if (aside < least)
            {
                (least, best) = (aside, sight);
            }
        }

        return features[best.Capture].Descriptor(best.Feature);
    }
}
