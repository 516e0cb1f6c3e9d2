using System.Globalization;
using Hillrow.Earth;
using Hillrow.Numerics;

namespace Hillrow.Planning;

/// <summary>
/// Follows a refusal's advice, and that of the next one, until a plan can be made: one refusal then names all that must be
/// asked otherwise, and it has been tried.
/// </summary>
internal static class PlanMending
{
    private const int MostTries = 12;
    private const int MostHomesAdded = 4;
    private const double SameMetres = 1e-6;

    /// <param name="input">As given.</param>
    /// <param name="settings">As asked.</param>
    /// <param name="refusal">Of these.</param>
    /// <param name="plan">Makes a plan, or refuses.</param>
    /// <returns>What to ask instead, as options of the command; null when that was not found.</returns>
    public static string? Find(
        PlanningInput input,
        PlanningSettings settings,
        PlanRefusal refusal,
        Action<PlanningInput, PlanningSettings> plan
    )
    {
        PlanningInput mended = input;
        PlanningSettings asked = settings;
        for (int tries = 0; tries < MostTries; tries++)
        {
            if (refusal.Home is { } home && mended.Homes.Count - input.Homes.Count < MostHomesAdded)
            {
                mended = mended with
                {
                    Homes = [.. mended.Homes, new HomePoint($"home {mended.Homes.Count + 1}", home)],
                };
            }
            else if (
                refusal.PixelMetres is { } pixel
                && pixel > 0
                && (pixel < asked.PixelMetres || asked.PixelMetres >= settings.PixelMetres)
            )
            {
                // Finer, and then coarser again, would go round in circles.
                asked = asked with
                {
                    PixelMetres = pixel,
                };
            }
            else
            {
                return null;
            }

            try
            {
                plan(mended, asked);
                return Options(mended, asked, settings);
            }
            catch (PlanRefusal next)
            {
                refusal = next;
            }
            catch (InputProblemException)
            {
                return null;
            }
        }

        return null;
    }

    private static string Options(PlanningInput input, PlanningSettings asked, PlanningSettings settings)
    {
        List<string> options = [];
        if (Math.Abs(asked.PixelMetres - settings.PixelMetres) > SameMetres)
        {
            options.Add(string.Create(CultureInfo.InvariantCulture, $"--pixel={100 * asked.PixelMetres:0.##}"));
        }

        foreach (HomePoint home in input.Homes)
        {
            GeodeticPosition at = input.Frame.ToGeodetic(
                new Vector3D(home.Place.EastMetres, home.Place.NorthMetres, 0)
            );
            options.Add(
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"--home={at.Latitude.Degrees:0.00000},{at.Longitude.Degrees:0.00000}"
                )
            );
        }

        return string.Join(' ', options);
    }
}
