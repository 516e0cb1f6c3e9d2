namespace Hillrow.Planning;

/// <summary>How fast a line can be flown.</summary>
internal static class LineSpeeds
{
    /// <summary>Over ground: the aircraft's survey speed, the camera's interval and the blur allow no more.</summary>
    /// <param name="input">Aircraft and camera.</param>
    /// <param name="settings">Exposure and blur.</param>
    /// <param name="baseMetres">Distance between captures.</param>
    public static double Fastest(PlanningInput input, PlanningSettings settings, double baseMetres)
    {
        double blur = MotionBlur.FastestSpeed(
            settings.LargestBlurPixels,
            settings.LongestExposureSeconds,
            settings.PixelMetres
        );
        return Math.Min(
            input.Aircraft.SurveySpeedMetresPerSecond,
            Math.Min(blur, baseMetres / input.Camera.ShortestIntervalSeconds)
        );
    }

    /// <summary>
    /// The speed over ground towards an azimuth that is wanted, or what the wind leaves of it: the air speed it needs,
    /// √((v − along)² + across²), may not exceed the fastest. 0 or less when the wind is too strong.
    /// </summary>
    public static double Over(AircraftProfile aircraft, Wind wind, double azimuthRadians, double wanted)
    {
        (double sine, double cosine) = Math.SinCos(azimuthRadians);
        double along = (wind.EastMetresPerSecond * sine) + (wind.NorthMetresPerSecond * cosine);
        double across = (wind.EastMetresPerSecond * cosine) - (wind.NorthMetresPerSecond * sine);
        double fastest = aircraft.FastestAirspeedMetresPerSecond;
        double left = (fastest * fastest) - (across * across);
        return left <= 0 ? 0 : Math.Min(wanted, along + Math.Sqrt(left));
    }

    /// <summary>Speed through the air when flying over ground at a speed towards an azimuth.</summary>
    public static double Air(Wind wind, double azimuthRadians, double overGround)
    {
        (double sine, double cosine) = Math.SinCos(azimuthRadians);
        double east = (overGround * sine) - wind.EastMetresPerSecond;
        double north = (overGround * cosine) - wind.NorthMetresPerSecond;
        return Math.Sqrt((east * east) + (north * north));
    }
}
