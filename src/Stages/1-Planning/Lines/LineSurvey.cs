using Hillrow.Numerics;

namespace Hillrow.Planning;

/// <summary>
/// Heights and reaches along a candidate line, at stations shared by all lines of a field, so that neighbours can be
/// compared place by place.
/// </summary>
internal sealed class SurveyedLine
{
    public required double Across { get; init; }

    public required List<Stretch> Pieces { get; init; }

    /// <summary>Index of the first station; station i lies at along = i · distance.</summary>
    public required int FirstStation { get; init; }

    /// <summary>Incomplete (NaN) where the line is not flown.</summary>
    public required Reach[] Reaches { get; init; }

    /// <summary>Camera heights at the stations, local up.</summary>
    public required double[] Heights { get; init; }

    public required double SpeedMetresPerSecond { get; init; }

    /// <summary>The worst along it; nothing known when it is flown nowhere.</summary>
    public StripSize Size =>
        Reaches.Where(reach => reach.IsComplete).Aggregate(StripSize.Unknown, (size, reach) => size.With(reach));

    public bool TryReach(int station, out Reach reach)
    {
        int at = station - FirstStation;
        reach = at >= 0 && at < Reaches.Length ? Reaches[at] : default;
        return at >= 0 && at < Reaches.Length && reach.IsComplete;
    }
}

/// <summary>Lays candidate lines over the ground.</summary>
internal sealed class LineSurvey(FlightGround ground, FrameReach frame, PlanningInput input, PlanningSettings settings)
{
    /// <summary>30 m posts bend the ground no faster than stations every 12 m can tell.</summary>
    public const double StationMetres = 12;

    private const int StepsPerStation = 3;

    /// <summary>A line may fly this share higher than wanted before it is flown slower instead.</summary>
    private const double LargestExcessShare = 0.08;

    /// <exception cref="InputProblemException">Void terrain under the line.</exception>
    public SurveyedLine Lay(SweepAxes axes, double across, List<Stretch> pieces, double fastest)
    {
        int first = (int)Math.Floor(pieces[0].From / StationMetres);
        int last = (int)Math.Ceiling(pieces[^1].To / StationMetres);
        Reach[] reaches = new Reach[last - first + 1];
        double[] heights = new double[reaches.Length];
        Array.Fill(reaches, new Reach(double.NaN, 0, 0, 0, 0, 0, 0, 0));
        Array.Fill(heights, double.NaN);
        double speed = fastest;
        foreach (Stretch piece in pieces)
        {
            speed = Math.Min(speed, LayPiece(axes, across, piece, speed, first, reaches, heights));
        }

        return new SurveyedLine
        {
            Across = across,
            Pieces = pieces,
            FirstStation = first,
            Reaches = reaches,
            Heights = heights,
            SpeedMetresPerSecond = speed,
        };
    }

    private double LayPiece(
        SweepAxes axes,
        double across,
        Stretch piece,
        double fastest,
        int firstStation,
        Reach[] reaches,
        double[] heights
    )
    {
        const double Step = StationMetres / StepsPerStation;
        int from = (int)Math.Floor(piece.From / StationMetres);
        int to = (int)Math.Ceiling(piece.To / StationMetres);
        int count = ((to - from) * StepsPerStation) + 1;
        double[] wanted = new double[count];
        double[] floor = new double[count];
        double[] speeds = new double[count];
        double[] up = new double[count];
        for (int at = 0; at < count; at++)
        {
            PlanPoint place = axes.PlaceOf((from * StationMetres) + (at * Step), across);
            wanted[at] = ground.GroundAt(place) + ground.HeightMetres;
            floor[at] = ground.FloorAt(place);
            if (!double.IsFinite(wanted[at] + floor[at]))
            {
                throw PlanRefusals.Void(input, place);
            }
        }

        AircraftProfile aircraft = input.Aircraft;
        int half = HeightProfile.HalfWindow(aircraft, Step);
        double speed = fastest;
        while (true)
        {
            Array.Fill(speeds, speed);
            HeightProfile.Fit(wanted, floor, speeds, HeightProfile.ClimbAndDescent(aircraft), Step, half, up);
            double excess = 0;
            for (int at = 0; at < count; at++)
            {
                excess = Math.Max(excess, up[at] - Math.Max(wanted[at], floor[at]));
            }

            bool tooHigh =
                excess > LargestExcessShare * ground.HeightMetres
                || excess + ground.HeightMetres > settings.CeilingMetres;
            if (!tooHigh || speed <= aircraft.SlowestSurveySpeedMetresPerSecond)
            {
                break;
            }

            speed = Math.Max(aircraft.SlowestSurveySpeedMetresPerSecond, speed * 0.8);
        }

        for (int station = from; station <= to; station++)
        {
            int at = (station - from) * StepsPerStation;
            PlanPoint place = axes.PlaceOf(station * StationMetres, across);
            heights[station - firstStation] = up[at];
            reaches[station - firstStation] = frame.At(place, up[at] - ground.RaiseAt(up[at]), axes.AzimuthRadians);
        }

        return speed;
    }
}
