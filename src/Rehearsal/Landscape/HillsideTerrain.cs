namespace Hillrow.Rehearsal;

/// <summary>Makes the true ground: a fractal or given hillside, the road bench cut into it, rocks, and clods.</summary>
public static class HillsideTerrain
{
    /// <summary>Posts every 0.1 m.</summary>
    public static TerrainPosts Build(EstateSettings settings, EstateLayout layout, int threads)
    {
        ArgumentNullException.ThrowIfNull(settings);
        ArgumentNullException.ThrowIfNull(layout);
        TerrainPosts terrain = new(settings.Extent, 0.1);
        Func<double, double, double> smooth = Smooth(settings);
        uint seed = unchecked((uint)settings.Seed * 2654435761u);
        Parallel.For(
            0,
            terrain.Rows,
            new ParallelOptions { MaxDegreeOfParallelism = threads },
            row =>
            {
                Span<float> line = terrain.Posts.Slice(row * terrain.Columns, terrain.Columns);
                double north = settings.Extent.SouthMetres + (row * terrain.SpacingMetres);
                for (int column = 0; column < line.Length; column++)
                {
                    double east = settings.Extent.WestMetres + (column * terrain.SpacingMetres);
                    line[column] = (float)Height(east, north, smooth, layout, seed);
                }
            }
        );
        terrain.Measure();
        return terrain;
    }

    /// <summary>The hillside without road, rocks and clods: what rows and roads are laid out on.</summary>
    public static Func<double, double, double> Smooth(EstateSettings settings)
    {
        ArgumentNullException.ThrowIfNull(settings);
        if (settings.SmoothTerrain is { } given)
        {
            return given;
        }

        uint seed = unchecked((uint)settings.Seed * 40503u + 7);
        double aspect = settings.AspectDegrees * Math.PI / 180;
        (double towardsEast, double towardsNorth) = (Math.Sin(aspect), Math.Cos(aspect));
        return (east, north) =>
        {
            double down = (east * towardsEast) + (north * towardsNorth);
            double across = (east * towardsNorth) - (north * towardsEast);
            // Spurs and hollows across the fall, steeper and flatter steps down it: 15 to 40 % in all.
            double folds = 2.6 * LatticeNoise.Fractal((float)(across / 95), (float)(down / 150), 3, 0.4f, seed);
            double steps = 1.6 * LatticeNoise.Fractal((float)(across / 120), (float)(down / 48), 2, 0.35f, seed + 91);
            return settings.MiddleHeightMetres - (settings.MeanSlope * down) + folds + steps;
        };
    }

    private static double Height(
        double east,
        double north,
        Func<double, double, double> smooth,
        EstateLayout layout,
        uint seed
    )
    {
        double height = smooth(east, north);
        (double offRoad, double roadNorth) = layout.RoadOffset(east);
        double distance = Math.Abs(north - roadNorth);
        if (distance < 5)
        {
            // The bench: level across, blended into cut and fill banks over two metres.
            double bench = smooth(east, roadNorth) + offRoad;
            double weight = 1 - Math.Clamp((distance - 2.2) / 2.2, 0, 1);
            weight = weight * weight * (3 - (2 * weight));
            height += (bench - height) * weight;
        }

        (float x, float y) = ((float)east, (float)north);
        double clods = distance < 2.2 ? 0.008 : 0.022;
        height += clods * LatticeNoise.Fractal(x / 0.45f, y / 0.45f, 2, 0.6f, seed);
        height += 0.05 * LatticeNoise.Smooth(x / 2.3f, y / 2.3f, seed + 5);
        foreach (Rock rock in layout.RocksNear(east, north))
        {
            double dx = (east - rock.EastMetres) / rock.RadiusMetres;
            double dy = (north - rock.NorthMetres) / (rock.RadiusMetres * rock.Flatness);
            double inside = 1 - ((dx * dx) + (dy * dy));
            if (inside > 0)
            {
                double rough = 1 + (0.25 * LatticeNoise.Fractal(x / 0.5f, y / 0.5f, 2, 0.5f, seed + 33));
                height += rock.HeightMetres * Math.Sqrt(Math.Min(1, 2.2 * inside)) * rough;
            }
        }

        return height;
    }
}
