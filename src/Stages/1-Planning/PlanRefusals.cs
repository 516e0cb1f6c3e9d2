using System.Globalization;
using Hillrow.Earth;
using Hillrow.Numerics;
using Hillrow.Numerics.Distributions;

namespace Hillrow.Planning;

/// <summary>Why a plan cannot be made, each with what would work.</summary>
internal static class PlanRefusals
{
    /// <summary>A pixel finer by this is tried where the route passes the ceiling: some metres lower.</summary>
    private const double FinerStepMetres = 0.001;

    public static string Where(PlanningInput input, PlanPoint place)
    {
        GeodeticPosition at = input.Frame.ToGeodetic(new Vector3D(place.EastMetres, place.NorthMetres, 0));
        return string.Create(
            CultureInfo.InvariantCulture,
            $"{at.Latitude.Degrees:0.00000}, {at.Longitude.Degrees:0.00000}"
        );
    }

    public static InputProblemException Void(PlanningInput input, PlanPoint place) =>
        new(
            "terrain",
            $"there is no height under the route near {Where(input, place)} (a hole in a tile, or its end).",
            "Add a terrain tile that covers the place, or leave out the block there with --block."
        );

    public static InputProblemException Ceiling(PlanningInput input, PlanningSettings settings, double heightMetres) =>
        new PlanRefusal(
            "--pixel",
            $"a pixel of {100 * settings.PixelMetres:0.##} cm needs {heightMetres:0} m above ground, but the ceiling is {settings.CeilingMetres:0} m.",
            $"Ask for {Math.Floor(1000 * settings.CeilingMetres * input.Camera.PixelAngleRadians) / 10:0.#} cm or finer with this camera."
        )
        {
            PixelMetres = Math.Floor(1000 * settings.CeilingMetres * input.Camera.PixelAngleRadians) / 1000,
        };

    public static InputProblemException TooLow(PlanningInput input, PlanningSettings settings, FlightGround ground)
    {
        double least = ground.MarginMetres + settings.CanopyMetres;
        double pixel = Math.Ceiling(1000 * least * input.Camera.PixelAngleRadians) / 10;
        bool legal = least <= settings.CeilingMetres;
        string remedy = legal
            ? $"Ask for {pixel:0.#} cm or coarser, or give a better surface (--surface with an earlier survey's)"
            : "Give a better surface (--surface with an earlier survey's)";
        double sigma = LargestSigma(input, settings, ground);
        string better =
            sigma > 0
                ? FormattableString.Invariant($"with a standard error below {sigma:0.#} m this pixel can be flown.")
                : "even a perfect surface leaves no room for the clearance at this pixel.";
        return new PlanRefusal(
            "--pixel",
            $"a pixel of {100 * settings.PixelMetres:0.##} cm needs {ground.HeightMetres:0} m above ground, but clearance, crop and the terrain's error (standard error {input.TerrainSigmaMetres:0.#} m) need {least:0} m.",
            $"{remedy}: {better}"
        )
        {
            PixelMetres = legal ? pixel / 100 : null,
        };
    }

    public static InputProblemException Overlap(PlanningInput input, PlanningSettings settings, double baseMetres)
    {
        double slowest = input.Aircraft.SlowestSurveySpeedMetresPerSecond;
        double needed = slowest * input.Camera.ShortestIntervalSeconds;
        double reachable = 1 - ((1 - settings.ForwardOverlap) * needed / baseMetres);
        return Plain(
            "--forward",
            $"an overlap of {100 * settings.ForwardOverlap:0} % needs a capture every {baseMetres:0.0} m where the ground may lie highest, but the camera's shortest interval of {input.Camera.ShortestIntervalSeconds:0.##} s allows {needed:0.0} m at the slowest speed of {slowest:0.#} m/s.",
            $"Ask for {Math.Max(0, Math.Floor(100 * reachable)):0} % or less, a coarser pixel (higher flight), or give a better surface (--surface)."
        );
    }

    public static InputProblemException Unseen(
        PlanningInput input,
        PlanPoint place,
        double metres,
        (PlanPoint Place, double Share)? suggestion
    ) =>
        new PlanRefusal(
            "home",
            $"{metres:0} m of lines are out of sight of every home (too far, or behind a ridge), for instance near {Where(input, place)}.",
            suggestion is { } better
                ? (FormattableString)
                    $"Add a home near {Where(input, better.Place)}: it would see {100 * better.Share:0} % of them. Or leave those parts out with --leave-out-unseen."
                : $"Add home points within sight of the blocks. Or leave those parts out with --leave-out-unseen."
        )
        {
            Home = suggestion?.Place,
        };

    public static InputProblemException Battery(AircraftProfile aircraft, string what) =>
        Plain(
            aircraft.Name,
            $"one battery ({aircraft.BudgetWattHours:0} Wh after the reserve) does not carry it to {what} and back.",
            $"Add a home point nearer to the block, take a larger battery, or plan for less wind."
        );

    public static InputProblemException WindTooStrong(AircraftProfile aircraft, Wind wind) =>
        Plain(
            "--wind",
            $"{wind.MetresPerSecond:0.#} m/s is more than the aircraft can fly against ({aircraft.FastestAirspeedMetresPerSecond:0.#} m/s through the air, {aircraft.SlowestSurveySpeedMetresPerSecond:0.#} m/s over ground needed).",
            $"Wait for less wind."
        );

    public static InputProblemException TooHigh(
        PlanningInput input,
        PlanningSettings settings,
        PlanPoint place,
        double heightMetres
    ) =>
        new PlanRefusal(
            "ceiling",
            $"the route must pass {heightMetres:0} m above the ground near {Where(input, place)} to stay clear of what stands around, but the ceiling is {settings.CeilingMetres:0} m.",
            $"Plan a finer pixel (lower flight), draw a no-fly area around the place, or add a home on this side of it."
        )
        {
            PixelMetres = settings.PixelMetres - FinerStepMetres,
        };

    private static double LargestSigma(PlanningInput input, PlanningSettings settings, FlightGround ground)
    {
        double spare = ground.HeightMetres - settings.ClearanceMetres - settings.CanopyMetres;
        double each = spare / NormalDistribution.Quantile(settings.ClearanceProbability);
        double own = input.Aircraft.HeightSigmaMetres;
        return each > own ? Math.Sqrt((each * each) - (own * own)) : 0;
    }

    private static InputProblemException Plain(string where, FormattableString problem, FormattableString remedy) =>
        new(where, FormattableString.Invariant(problem), FormattableString.Invariant(remedy));
}
