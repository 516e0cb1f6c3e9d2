using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>Whether a card was flown at the estate it is brought to.</summary>
internal static class CardPlace
{
    /// <summary>An estate with all its outlying blocks can be walked or driven in a day; a card from beyond is another's.</summary>
    private const double FarMetres = 20_000;

    /// <summary>Files asked for their place, spread over the card: enough that some strays decide nothing.</summary>
    private const int FilesAsked = 15;

    /// <summary>With fewer answers nothing is said: receivers start out with wild places.</summary>
    private const int LeastAnswers = 3;

    /// <param name="estate">With its blocks, or none yet.</param>
    /// <param name="listings">The cards.</param>
    /// <param name="cameraFile">Profile of the camera; one that cannot be read says no places, and the run tells of it.</param>
    /// <exception cref="InputProblemException">Most pictures that tell their place were taken far from the estate.</exception>
    public static void Check(EstateFolder estate, IReadOnlyList<CardListing> listings, string cameraFile)
    {
        CameraProfile profile;
        try
        {
            profile = CameraProfile.Load(cameraFile);
        }
        catch (InputProblemException)
        {
            return;
        }

        foreach (CardListing listing in listings)
        {
            GeographicPoint[] places = [.. Places(listing, profile)];
            if (places.Length < LeastAnswers)
            {
                continue;
            }

            GeographicPoint middle = new(
                Median(places.Select(place => place.Latitude)),
                Median(places.Select(place => place.Longitude))
            );
            if (FarFrom(estate, middle) is { } from)
            {
                throw new InputProblemException(
                    listing.Folder,
                    FormattableString.Invariant(
                        $"was flown at {middle.Latitude.Degrees:0.####}, {middle.Longitude.Degrees:0.####}, {from}."
                    ),
                    $"Name the estate it belongs to, or make one with `hillrow new DIR --at {FormattableString.Invariant($"{middle.Latitude.Degrees:0.####},{middle.Longitude.Degrees:0.####}")}`; nothing was brought."
                );
            }
        }
    }

    private static string? FarFrom(EstateFolder estate, GeographicPoint at)
    {
        if (!UtmZoneText.Reaches(estate.ReferenceSystem, at.Latitude.Degrees, at.Longitude.Degrees))
        {
            return $"far from the estate's zone {UtmZoneText.ZoneOf(estate.ReferenceSystem)}";
        }

        IReadOnlyList<Block> blocks = new BlockBook(estate).Blocks();
        if (blocks.Count == 0)
        {
            return null;
        }

        GridPoint place = estate.ReferenceSystem.ToGrid(at);
        double nearest = blocks.Min(block =>
            block.Boundary.EnvelopeInternal.Distance(
                new NetTopologySuite.Geometries.Envelope(
                    new NetTopologySuite.Geometries.Coordinate(place.EastingMetres, place.NorthingMetres)
                )
            )
        );
        return nearest > FarMetres
            ? FormattableString.Invariant($"{nearest / 1000:0} km from the estate's nearest block")
            : null;
    }

    private static IEnumerable<GeographicPoint> Places(CardListing listing, CameraProfile profile)
    {
        int step = Math.Max(1, listing.Files.Count / FilesAsked);
        for (int at = 0; at < listing.Files.Count; at += step)
        {
            FrameMetadata metadata;
            try
            {
                string path = listing.Files[at].Path;
                metadata = profile.Metadata.Evaluate(PropertyBag.Read(path), path);
            }
            catch (InputProblemException)
            {
                // Intake tells of damaged files.
                continue;
            }

            if (metadata is { Latitude: { } latitude, Longitude: { } longitude })
            {
                yield return new GeographicPoint(latitude, longitude);
            }
        }
    }

    private static Angle Median(IEnumerable<Angle> angles)
    {
        Angle[] sorted = [.. angles.Order()];
        return sorted[sorted.Length / 2];
    }
}
