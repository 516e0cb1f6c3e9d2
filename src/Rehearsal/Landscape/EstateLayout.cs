using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>How a block is grown; decides spacing, crowns and ground.</summary>
public enum BlockKind
{
    /// <summary>Plants stand apart.</summary>
    Open,

    /// <summary>Crowns of neighbours touch along the row.</summary>
    Touching,

    /// <summary>Planted so densely that stems cannot be told apart from above.</summary>
    Hedgerow,

    /// <summary>Below scattered shade trees.</summary>
    Shaded,

    /// <summary>Cut back to stumps and sprouting.</summary>
    Stumped,
}

/// <summary>One block of the modelled estate: a rectangle with its own rows.</summary>
/// <param name="Name">As people call it.</param>
/// <param name="Kind">How it is grown.</param>
/// <param name="West">Local metres, likewise the other three.</param>
/// <param name="Treated">True when the root pest was treated between the first two dates.</param>
/// <param name="StumpedOn">Day of cutting back, for a stumped block.</param>
/// <param name="SoilVariant">Which of the soils lies here.</param>
public sealed record BlockPlan(
    string Name,
    BlockKind Kind,
    double West,
    double South,
    double East,
    double North,
    bool Treated,
    DateOnly? StumpedOn,
    int SoilVariant
)
{
    public bool Contains(double east, double north) => east >= West && east < East && north >= South && north < North;
}

/// <summary>A boulder, half sunk: a rough half ellipsoid.</summary>
public readonly record struct Rock(
    double EastMetres,
    double NorthMetres,
    double RadiusMetres,
    double Flatness,
    double HeightMetres
);

/// <summary>Where blocks, road and rocks of the modelled estate lie.</summary>
public sealed class EstateLayout
{
    private const double RockCellMetres = 4;
    private readonly Dictionary<(int, int), List<Rock>> rockCells = [];
    private readonly double middleNorth;
    private readonly double width;
    private readonly double west;

    private EstateLayout(EstateSettings settings)
    {
        SceneExtent extent = settings.Extent;
        width = extent.WidthMetres;
        west = extent.WestMetres;
        middleNorth = extent.SouthMetres + (0.5 * extent.LengthMetres);
        Blocks = Divide(settings);
        SplittableRandom draw = new SplittableRandom(settings.Seed).Split("rocks");
        int count = (int)(extent.WidthMetres * extent.LengthMetres / 420);
        for (int index = 0; index < count; index++)
        {
            Rock rock = new(
                draw.NextDouble(extent.WestMetres + 2, extent.EastMetres - 2),
                draw.NextDouble(extent.SouthMetres + 2, extent.NorthMetres - 2),
                0.25 + (1.1 * Math.Pow(draw.NextDouble(), 3)),
                draw.NextDouble(0.6, 1.3),
                0
            );
            rock = rock with { HeightMetres = rock.RadiusMetres * draw.NextDouble(0.35, 0.6) };
            if (Math.Abs(rock.NorthMetres - RoadOffset(rock.EastMetres).RoadNorthMetres) > 3.5)
            {
                Keep(rock);
            }
        }
    }

    public IReadOnlyList<BlockPlan> Blocks { get; }

    /// <summary>Half the width of the driven surface.</summary>
    public static double RoadHalfWidthMetres => 1.7;

    public static EstateLayout Build(EstateSettings settings)
    {
        ArgumentNullException.ThrowIfNull(settings);
        return new EstateLayout(settings);
    }

    /// <summary>The road runs west to east with bends; its bench may lie a little above the hillside.</summary>
    public (double RaisedMetres, double RoadNorthMetres) RoadOffset(double eastMetres)
    {
        double along = (eastMetres - west) / width;
        return (0.1, middleNorth + (2.6 * Math.Sin((along * 9) + 0.6)) + (1.1 * Math.Sin(along * 23)));
    }

    public IReadOnlyList<Rock> RocksNear(double eastMetres, double northMetres) =>
        rockCells.TryGetValue(CellOf(eastMetres, northMetres), out List<Rock>? found) ? found : [];

    public BlockPlan? BlockAt(double eastMetres, double northMetres)
    {
        foreach (BlockPlan block in Blocks)
        {
            if (block.Contains(eastMetres, northMetres))
            {
                return block;
            }
        }

        return null;
    }

    private static (int, int) CellOf(double east, double north) =>
        ((int)Math.Floor(east / RockCellMetres), (int)Math.Floor(north / RockCellMetres));

    private void Keep(Rock rock)
    {
        (int fromX, int fromY) = CellOf(rock.EastMetres - 2, rock.NorthMetres - 2);
        (int toX, int toY) = CellOf(rock.EastMetres + 2, rock.NorthMetres + 2);
        for (int x = fromX; x <= toX; x++)
        {
            for (int y = fromY; y <= toY; y++)
            {
                if (!rockCells.TryGetValue((x, y), out List<Rock>? list))
                {
                    rockCells[(x, y)] = list = [];
                }

                list.Add(rock);
            }
        }
    }

    private List<BlockPlan> Divide(EstateSettings settings)
    {
        SceneExtent extent = settings.Extent;
        double margin = 0.06 * Math.Min(extent.WidthMetres, extent.LengthMetres);
        double third = (extent.WidthMetres - (2 * margin)) / 3;
        double lane = 3.2;
        DateOnly firstDate = settings.Dates[0];
        (string Name, BlockKind Kind, bool Treated, int Soil)[] cells =
        [
            ("Ladera", BlockKind.Open, false, 0),
            ("Cumbre", BlockKind.Open, true, 0),
            ("Sombra", BlockKind.Shaded, false, 1),
            ("Tocones", BlockKind.Stumped, false, 2),
            ("Seto", BlockKind.Hedgerow, false, 2),
            ("Junta", BlockKind.Touching, false, 1),
        ];
        List<BlockPlan> blocks = [];
        for (int index = 0; index < 6; index++)
        {
            double blockWest = extent.WestMetres + margin + ((index % 3) * third) + (lane / 2);
            bool upper = index < 3;
            (string name, BlockKind kind, bool treated, int soil) = cells[index];
            blocks.Add(
                new BlockPlan(
                    name,
                    kind,
                    blockWest,
                    upper ? middleNorth + 7.5 : extent.SouthMetres + margin,
                    blockWest + third - lane,
                    upper ? extent.NorthMetres - margin : middleNorth - 7.5,
                    treated,
                    kind == BlockKind.Stumped ? firstDate.AddDays(-200) : null,
                    soil
                )
            );
        }

        return blocks;
    }
}
