namespace Hillrow.Planning;

/// <summary>How the direction of the lines is chosen.</summary>
public enum LineDirection
{
    /// <summary>Least total time in the air: lines, turns, transits, climbs and wind.</summary>
    Quickest,

    /// <summary>Along the contour of each field's mean slope: hardly any climb on the lines.</summary>
    Contour,

    /// <summary>As given in <see cref="PlanningSettings.DirectionDegrees"/>.</summary>
    Given,
}

/// <summary>What is asked of a plan. Each default says why.</summary>
public sealed record PlanningSettings
{
    /// <summary>Pixel on the ground in the middle of the frame: 5 cm shows crowns of a metre with 20 pixels across.</summary>
    public double PixelMetres { get; init; } = 0.05;

    /// <summary>Share of a picture that the next one of the line sees again.</summary>
    public double ForwardOverlap { get; init; } = 0.8;

    /// <summary>Share of a line's strip that the next line sees again.</summary>
    public double SideOverlap { get; init; } = 0.7;

    /// <summary>
    /// Share of places that shall have the overlap although the terrain's heights are uncertain: 0.99 plans as if the
    /// ground lay 2.33 standard errors higher.
    /// </summary>
    public double OverlapProbability { get; init; } = 0.99;

    /// <summary>Least height over ground, canopy and obstacles, once the errors of terrain and aircraft are allowed for.</summary>
    public double ClearanceMetres { get; init; } = 15;

    /// <summary>Probability, at any one place of the route, that the clearance is held.</summary>
    public double ClearanceProbability { get; init; } = 0.999;

    /// <summary>Highest crop in the blocks, above ground. 3 m is a tall coffee plant.</summary>
    public double CanopyMetres { get; init; } = 3;

    /// <summary>Legal ceiling above ground; 120 m is common, the law of the place rules.</summary>
    public double CeilingMetres { get; init; } = 120;

    /// <summary>Farthest from the pilot.</summary>
    public double LineOfSightMetres { get; init; } = 500;

    /// <summary>False: parts that no home sees are left out and told, instead of refusing the plan.</summary>
    public bool RefuseUnseen { get; init; } = true;

    /// <summary>Distance kept from the edge of no-fly areas: the aircraft's sideways error and a turn's width.</summary>
    public double NoFlyMarginMetres { get; init; } = 20;

    /// <summary>Longest exposure in the light planned for: 2 ms in dull light.</summary>
    public double LongestExposureSeconds { get; init; } = 0.002;

    /// <summary>Motion in the picture: half a pixel is not seen (a plain rule; ANCHORS a6 gives no threshold).</summary>
    public double LargestBlurPixels { get; init; } = 0.5;

    public Wind Wind { get; init; }

    public LineDirection Direction { get; init; } = LineDirection.Quickest;

    /// <summary>Clockwise from north, for <see cref="LineDirection.Given"/>.</summary>
    public double DirectionDegrees { get; init; }

    /// <summary>Day of the light windows; null leaves them out.</summary>
    public DateOnly? Date { get; init; }

    /// <summary>The result does not depend on it.</summary>
    public int Threads { get; init; } = 2;

    /// <summary>Captures of one line that see each place of the strip: 5 at 80 %.</summary>
    public int ViewsAlong => ViewsOf(ForwardOverlap);

    /// <summary>Lines that see each place: 3 at 70 %.</summary>
    public int ViewsAcross => ViewsOf(SideOverlap);

    /// <summary>Captures that see each place when both overlaps are kept.</summary>
    public int Views => ViewsAlong * ViewsAcross;

    /// <summary>Every broken rule, naming the setting, the value and what is allowed.</summary>
    public IReadOnlyList<string> Problems()
    {
        List<string> problems = [];
        void Within(string name, double value, double low, double high)
        {
            if (!(value >= low && value <= high))
            {
                problems.Add(FormattableString.Invariant($"{name} is {value}, but must be from {low} to {high}"));
            }
        }

        Within("the pixel on the ground (metres)", PixelMetres, 0.001, 1);
        Within("the forward overlap", ForwardOverlap, 0, 0.95);
        Within("the side overlap", SideOverlap, 0, 0.95);
        Within("the probability of the overlap", OverlapProbability, 0.5, 0.9999);
        Within("the clearance (metres)", ClearanceMetres, 2, 500);
        Within("the probability of the clearance", ClearanceProbability, 0.5, 0.999999);
        Within("the canopy (metres)", CanopyMetres, 0, 60);
        Within("the ceiling (metres)", CeilingMetres, 5, 1000);
        Within("the line of sight (metres)", LineOfSightMetres, 50, 20_000);
        Within("the margin to no-fly areas (metres)", NoFlyMarginMetres, 0, 1000);
        Within("the longest exposure (seconds)", LongestExposureSeconds, 1e-6, 1);
        Within("the largest blur (pixels)", LargestBlurPixels, 0.01, 10);
        Within("the wind (metres a second)", Wind.MetresPerSecond, 0, 40);
        return problems;
    }

    private static int ViewsOf(double overlap) => Math.Max(1, (int)Math.Floor((1 / (1 - overlap)) + 1e-9));
}
