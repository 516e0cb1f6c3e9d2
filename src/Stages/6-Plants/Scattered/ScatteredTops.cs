using Hillrow.Earth;
using Hillrow.Imaging;

namespace Hillrow.Plants;

/// <summary>The middle of a crown that stands on no row.</summary>
/// <param name="Place">In the map's reference system.</param>
/// <param name="RadiusMetres">About how far the crown reaches.</param>
/// <param name="Strength">How clearly it stands out; only to compare.</param>
public sealed record ScatteredTop(GridPoint Place, double RadiusMetres, double Strength);

/// <summary>How crowns without rows are looked for.</summary>
public sealed record ScatteredSettings
{
    /// <summary>Radii of crowns: from a young tree to an old shade tree.</summary>
    public double LeastRadiusMetres { get; init; } = 1.7;

    public double LargestRadiusMetres { get; init; } = 5.4;

    /// <summary>Of NDVI: how much greener a crown is than what surrounds it. Chosen on the tuning places of decision 40.</summary>
    public double LeastAnswer { get; init; } = 0.2;

    /// <summary>Of height, metres, where there are heights.</summary>
    public double LeastHeightAnswerMetres { get; init; } = 0.5;

    /// <summary>Two crowns may come as near as this share of the sum of their scales.</summary>
    public double Overlap { get; init; } = 0.8;

    /// <summary>Ratio of neighbouring scales.</summary>
    public double ScaleStep { get; init; } = 1.34;
}

/// <summary>Tops of crowns that stand on no row: round spots of greenness, or of height, of any size.</summary>
public static class ScatteredTops
{
    /// <summary>By greenness.</summary>
    /// <param name="map">"red" and "nir".</param>
    /// <param name="window">Of the map.</param>
    public static IReadOnlyList<ScatteredTop> Find(MapLayer map, RasterWindow window, ScatteredSettings settings)
    {
        ArgumentNullException.ThrowIfNull(map);
        ArgumentNullException.ThrowIfNull(settings);
        float[] red = map.Read(map.IndexOf("red")!.Value, window);
        float[] nir = map.Read(map.IndexOf("nir")!.Value, window);
        float[] ndvi = new float[red.Length];
        for (int at = 0; at < ndvi.Length; at++)
        {
            float value = (nir[at] - red[at]) / (nir[at] + red[at]);
            // Shadow and water are dark and tell nothing; a floor keeps them from making their neighbours look greener.
            ndvi[at] = float.IsFinite(value) ? Math.Clamp(value, -0.2f, 1) : -0.2f;
        }

        return Of(ndvi, map.Grid, window, settings, settings.LeastAnswer);
    }

    /// <summary>By height above ground, metres; NaN is ground.</summary>
    public static IReadOnlyList<ScatteredTop> FindByHeight(Raster<float> canopy, ScatteredSettings settings)
    {
        ArgumentNullException.ThrowIfNull(canopy);
        ArgumentNullException.ThrowIfNull(settings);
        float[] heights = [.. canopy.Band(0)];
        foreach (ref float height in heights.AsSpan())
        {
            height = float.IsFinite(height) ? height : 0;
        }

        return Of(
            heights,
            canopy.Grid,
            new RasterWindow(0, 0, canopy.Rows, canopy.Columns),
            settings,
            settings.LeastHeightAnswerMetres
        );
    }

    internal static IReadOnlyList<ScatteredTop> Of(
        ReadOnlySpan<float> picture,
        GridGeometry map,
        RasterWindow window,
        ScatteredSettings settings,
        double least
    )
    {
        double cell = map.CellSizeMetres;
        List<double> sigmas = [];
        for (
            double radius = settings.LeastRadiusMetres;
            radius <= settings.LargestRadiusMetres * 1.001;
            radius *= settings.ScaleStep
        )
        {
            sigmas.Add(Math.Max(0.7, radius / Math.Sqrt(2) / cell));
        }

        return
        [
            .. BlobTops
                .Find(picture, window.Rows, window.Columns, sigmas, least, settings.Overlap)
                .Select(top => new ScatteredTop(
                    new GridPoint(
                        map.WestMetres + ((window.Column + top.Column) * cell),
                        map.NorthMetres - ((window.Row + top.Row) * cell)
                    ),
                    top.SigmaPixels * Math.Sqrt(2) * cell,
                    top.Strength
                )),
        ];
    }

    internal static double Distance(GridPoint a, GridPoint b)
    {
        double x = a.EastingMetres - b.EastingMetres;
        double y = a.NorthingMetres - b.NorthingMetres;
        return Math.Sqrt((x * x) + (y * y));
    }
}
