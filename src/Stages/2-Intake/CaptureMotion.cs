using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;

namespace Hillrow.Intake;

/// <summary>Roles that the aircraft's motion tells: on the ground, turning, or mapping.</summary>
internal static class CaptureMotion
{
    /// <param name="sortie">Captures of one sortie in order.</param>
    /// <param name="settings">Limits.</param>
    /// <param name="others">Captures of the survey's other sorties.</param>
    /// <returns>One role and reason each.</returns>
    public static (CaptureRole Role, string Reason)[] Roles(
        IReadOnlyList<Capture> sortie,
        IntakeSettings settings,
        int others
    )
    {
        (CaptureRole, string)[] roles = new (CaptureRole, string)[sortie.Count];
        Array.Fill(roles, (CaptureRole.Survey, "in flight"));
        Vector3D?[] places = Places(sortie);
        for (int index = 0; index < sortie.Count; index++)
        {
            if (Tilt(sortie[index]) is { } tilt && tilt > settings.TurnTiltDegrees)
            {
                roles[index] = (CaptureRole.Turn, FormattableString.Invariant($"tipped by {tilt:0}°"));
            }
            else if (Climbs(places, index))
            {
                roles[index] = (CaptureRole.Turn, "climbing or coming down");
            }
        }

        if (sortie.Count < 3 && others >= 10)
        {
            // One or two pictures by themselves, minutes away from any flight, are no flight.
            Array.Fill(roles, (CaptureRole.Ground, "apart from any flight"));
            return roles;
        }

        Ground(places, sortie, settings, roles, forward: true);
        Ground(places, sortie, settings, roles, forward: false);
        return roles;
    }

    private static double? Tilt(Capture capture) =>
        capture.Attitude is { } attitude
            ? Angle.FromRadians(Math.Acos(Math.Clamp(-attitude.EnuToCamera().Row3.Z, -1, 1))).Degrees
            : null;

    private static Vector3D?[] Places(IReadOnlyList<Capture> sortie)
    {
        CapturePosition? first = sortie.Select(capture => capture.Position).FirstOrDefault(place => place is not null);
        if (first is null)
        {
            return new Vector3D?[sortie.Count];
        }

        LocalFrame frame = new(new GeodeticPosition(first.Latitude, first.Longitude, first.HeightMetres));
        return
        [
            .. sortie.Select(capture =>
                capture.Position is { } at
                    ? frame.ToLocal(new GeodeticPosition(at.Latitude, at.Longitude, at.HeightMetres))
                    : (Vector3D?)null
            ),
        ];
    }

    /// <summary>Both ways to the neighbours lead up or down far more than along.</summary>
    private static bool Climbs(Vector3D?[] places, int index) =>
        index > 0
        && index + 1 < places.Length
        && places[index] is { } here
        && places[index - 1] is { } before
        && places[index + 1] is { } after
        && Steep(here - before)
        && Steep(after - here)
        && Math.Sign(here.Z - before.Z) == Math.Sign(after.Z - here.Z);

    private static bool Steep(Vector3D step) =>
        Math.Abs(step.Z) > 4 && Math.Abs(step.Z) > 2 * Math.Sqrt((step.X * step.X) + (step.Y * step.Y));

    /// <summary>
    /// From either end of the sortie: captures that stay in one place, or one that lies far below the next after a
    /// pause, were taken on the ground.
    /// </summary>
    private static void Ground(
        Vector3D?[] places,
        IReadOnlyList<Capture> sortie,
        IntakeSettings settings,
        (CaptureRole, string)[] roles,
        bool forward
    )
    {
        int count = places.Length;
        int At(int step) => forward ? step : count - 1 - step;
        int run = 1;
        while (
            run < count
            && places[At(run)] is { } here
            && places[At(run - 1)] is { } before
            && (here - before).Length < settings.GroundMoveMetres
        )
        {
            run++;
        }

        if (run == count)
        {
            if (count >= 3)
            {
                Array.Fill(roles, (CaptureRole.Ground, "the aircraft did not move"));
            }

            return;
        }

        bool below =
            places[At(run - 1)] is { } last
            && places[At(run)] is { } next
            && next.Z - last.Z > settings.GroundDropMetres
            && (run > 1 || Paused(sortie, At(0), At(1)));
        if (run > 2 || below)
        {
            for (int step = 0; step < run; step++)
            {
                roles[At(step)] = (
                    CaptureRole.Ground,
                    below ? "far below the captures in flight" : "not moving, at an end of the sortie"
                );
            }
        }
    }

    /// <summary>Whether more than three usual intervals lie between the two; true when times are unknown.</summary>
    private static bool Paused(IReadOnlyList<Capture> sortie, int first, int second)
    {
        double[] gaps =
        [
            .. sortie
                .Zip(sortie.Skip(1))
                .Where(pair => pair.First.TimeUtc is not null && pair.Second.TimeUtc is not null)
                .Select(pair => (pair.Second.TimeUtc!.Value - pair.First.TimeUtc!.Value).TotalSeconds)
                .Order(),
        ];
        return gaps.Length == 0
            || sortie[first].TimeUtc is not { } one
            || sortie[second].TimeUtc is not { } two
            || Math.Abs((two - one).TotalSeconds) > 3 * gaps[gaps.Length / 2];
    }
}
