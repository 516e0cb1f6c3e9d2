using System.Globalization;
using System.Text;

namespace Hillrow.Planning;

/// <summary>
/// A sortie as a table of mission items: the fields of the message MISSION_ITEM_INT and the command numbers of the open
/// MAVLink common message set, for whoever brings them to an autopilot.
/// </summary>
/// <remarks>
/// Columns as the message's fields (latitude and longitude as x and y in degrees × 10⁷, z in metres), frame 6
/// (relative to home, integer places), with the height above sea level beside it. Numbers from memory of the public
/// message set; a test pins them.
/// </remarks>
public static class MissionItems
{
    private const int FrameRelativeToHome = 6;
    private const int FrameOfNoPlace = 2;

    public enum CommandNumber
    {
        Waypoint = 16,
        Land = 21,
        TakeOff = 22,
        ChangeSpeed = 178,
        TriggerDistance = 206,
    }

    public static string Of(Sortie sortie, PlanPlaces places)
    {
        ArgumentNullException.ThrowIfNull(sortie);
        ArgumentNullException.ThrowIfNull(places);
        StringBuilder text = new(
            "seq,frame,command,current,autocontinue,param1,param2,param3,param4,x,y,z,mission_type,above_sea_level_metres\r\n"
        );
        int number = 0;
        void Add(CommandNumber command, double p1, double p2, double p3, WorldPlace? at)
        {
            string sea = at is { } known ? known.SeaLevelMetres.ToString("0.00", CultureInfo.InvariantCulture) : "";
            int x = at is { } place ? (int)Math.Round(place.LatitudeDegrees * 1e7) : 0;
            int y = at is { } there ? (int)Math.Round(there.LongitudeDegrees * 1e7) : 0;
            text.Append(
                CultureInfo.InvariantCulture,
                $"{number},{(at is null ? FrameOfNoPlace : FrameRelativeToHome)},{(int)command},{(number == 0 ? 1 : 0)},1,{p1:0.###},{p2:0.###},{p3:0.###},0,{x},{y},{at?.AboveHomeMetres ?? 0:0.00},0,{sea}\r\n"
            );
            number++;
        }

        IReadOnlyList<Waypoint> way = Waypoint.Of(sortie);
        RouteSample first = way[0].Sample;
        Add(CommandNumber.TakeOff, 0, 0, 0, places.Of(sortie.Home.Place, first.UpMetres, sortie));
        double speed = double.NaN;
        double trigger = 0;
        foreach (Waypoint point in way)
        {
            Add(CommandNumber.Waypoint, 0, 0, 0, places.Of(point.Sample.Place, point.Sample.UpMetres, sortie));
            // What follows a waypoint is set once it is reached.
            if (!(Math.Abs(point.Sample.SpeedMetresPerSecond - speed) < 0.05))
            {
                speed = point.Sample.SpeedMetresPerSecond;
                // 1: speed over ground; −1: the throttle stays as it is.
                Add(CommandNumber.ChangeSpeed, 1, speed, -1, null);
            }

            if (!point.TriggerBaseMetres.Equals(trigger))
            {
                trigger = point.TriggerBaseMetres;
                // Third parameter 1: one capture at once, so that the line begins with one.
                Add(CommandNumber.TriggerDistance, trigger, 0, trigger > 0 ? 1 : 0, null);
            }
        }

        Add(CommandNumber.Land, 0, 0, 0, places.Of(sortie.Home.Place, sortie.HomeUpMetres, sortie));
        return text.ToString();
    }
}
