using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>Grows the same plants through the dates: deaths, replanting, pest patches, picking, regrowth.</summary>
public static class PlantingHistory
{
    public static IReadOnlyList<PlantingOnDay> Build(EstateSettings settings, EstateLayout layout)
    {
        ArgumentNullException.ThrowIfNull(settings);
        ArgumentNullException.ThrowIfNull(layout);
        SplittableRandom root = new SplittableRandom(settings.Seed).Split("planting");
        Func<double, double, double> smooth = HillsideTerrain.Smooth(settings);
        List<ShadeTree> trees = Trees(layout, root.Split("trees"));
        List<PestPatch> patches = Patches(settings, layout, root.Split("patches"));
        List<Place> places = Places(settings, layout, smooth, root.Split("places"));
        List<PlantingOnDay> days = [];
        int nextNumber = places.Count + 1;
        for (int index = 0; index < settings.Dates.Count; index++)
        {
            DateOnly day = settings.Dates[index];
            if (index > 0)
            {
                nextNumber = Pass(settings, places, day, nextNumber, root.Split("pass").Split((ulong)index));
            }

            days.Add(Observe(settings, layout, places, patches, trees, day, index));
        }

        return days;
    }

    private static List<ShadeTree> Trees(EstateLayout layout, SplittableRandom draw)
    {
        List<ShadeTree> trees = [];
        foreach (BlockPlan block in layout.Blocks.Where(block => block.Kind == BlockKind.Shaded))
        {
            for (double x = block.West + 5; x < block.East - 4; x += 13)
            {
                for (double y = block.South + 5; y < block.North - 4; y += 13)
                {
                    double height = draw.NextDouble(6, 10.5);
                    trees.Add(
                        new ShadeTree(
                            trees.Count + 1,
                            x + draw.NextDouble(-3.5, 3.5),
                            y + draw.NextDouble(-3.5, 3.5),
                            height,
                            height * draw.NextDouble(0.26, 0.36)
                        )
                    );
                }
            }
        }

        return trees;
    }

    private static List<PestPatch> Patches(EstateSettings settings, EstateLayout layout, SplittableRandom draw)
    {
        List<PestPatch> patches = [];
        DateOnly first = settings.Dates[0];
        foreach (BlockPlan block in layout.Blocks)
        {
            int count = block.Kind switch
            {
                BlockKind.Open => 2,
                BlockKind.Touching or BlockKind.Shaded => 1,
                _ => 0,
            };
            for (int index = 0; index < count; index++)
            {
                // One patch per block is old; a second one starts only after the first date.
                patches.Add(
                    new PestPatch(
                        draw.NextDouble(block.West + 8, block.East - 8),
                        draw.NextDouble(block.South + 8, block.North - 8),
                        index == 0 ? first.AddDays(-160) : first.AddDays(25),
                        draw.NextDouble(0.018, 0.03),
                        draw.NextDouble(1.5, 3)
                    )
                );
            }
        }

        return patches;
    }

    internal static (double Row, double Along) Spacing(EstateSettings settings, BlockKind kind) =>
        kind switch
        {
            BlockKind.Hedgerow => (settings.RowSpacingMetres + 0.1, 0.45 * settings.PlantSpacingMetres),
            BlockKind.Touching => (settings.RowSpacingMetres, 0.86 * settings.PlantSpacingMetres),
            _ => (settings.RowSpacingMetres, settings.PlantSpacingMetres),
        };

    private static List<Place> Places(
        EstateSettings settings,
        EstateLayout layout,
        Func<double, double, double> smooth,
        SplittableRandom draw
    )
    {
        List<Place> places = [];
        for (int blockIndex = 0; blockIndex < layout.Blocks.Count; blockIndex++)
        {
            BlockPlan block = layout.Blocks[blockIndex];
            (double row, double along) = Spacing(settings, block.Kind);
            SplittableRandom own = draw.Split((ulong)blockIndex);
            foreach (PlantingPosition at in ContourRows.Lay(block, smooth, row, along, own.Split("rows")))
            {
                bool onRock = layout
                    .RocksNear(at.EastMetres, at.NorthMetres)
                    .Any(rock =>
                        Math.Abs(rock.EastMetres - at.EastMetres) < rock.RadiusMetres
                        && Math.Abs(rock.NorthMetres - at.NorthMetres) < rock.RadiusMetres
                    );
                int stems =
                    block.Kind == BlockKind.Stumped ? 2 + own.NextInt32(4)
                    : own.NextDouble() < settings.DoubleStemShare ? 2
                    : 1;
                bool gap = own.NextDouble() < settings.GapShare;
                Plant plant = new(
                    places.Count + 1,
                    places.Count + 1,
                    blockIndex,
                    at.Row,
                    at.EastMetres,
                    at.NorthMetres,
                    stems,
                    settings.Dates[0].AddDays(-1800 - own.NextInt32(200)),
                    Math.Clamp(1 + (0.09 * own.NextGaussian()), 0.7, 1.3),
                    own.NextDouble(0.55, 1)
                );
                places.Add(new Place(plant, gap || onRock));
            }
        }

        return places;
    }

    private static int Pass(
        EstateSettings settings,
        List<Place> places,
        DateOnly day,
        int nextNumber,
        SplittableRandom draw
    )
    {
        foreach (Place place in places)
        {
            SplittableRandom own = draw.Split((ulong)place.Plant.Position);
            double dice = own.NextDouble();
            if (dice < settings.ReplantedShare)
            {
                double turn = own.NextDouble(0, Math.Tau);
                place.Plant = place.Plant with
                {
                    Number = nextNumber++,
                    EastMetres = place.Plant.EastMetres + (0.3 * Math.Cos(turn)),
                    NorthMetres = place.Plant.NorthMetres + (0.3 * Math.Sin(turn)),
                    Stems = 1,
                    PlantedOn = day.AddDays(-60 - own.NextInt32(40)),
                };
                (place.Missing, place.Dead) = (false, false);
            }
            else if (dice < settings.ReplantedShare + settings.DeadShare && !place.Missing)
            {
                place.Dead = true;
            }
        }

        return nextNumber;
    }

    private static PlantingOnDay Observe(
        EstateSettings settings,
        EstateLayout layout,
        List<Place> places,
        List<PestPatch> patches,
        List<ShadeTree> trees,
        DateOnly day,
        int dateIndex
    )
    {
        List<PlantState> plants = [];
        List<GapState> gaps = [];
        foreach (Place place in places)
        {
            Plant plant = place.Plant;
            if (place.Missing)
            {
                gaps.Add(
                    new GapState(plant.Position, plant.BlockIndex, plant.Row, plant.EastMetres, plant.NorthMetres)
                );
                continue;
            }

            BlockPlan block = layout.Blocks[plant.BlockIndex];
            plants.Add(PlantGrowth.On(settings, block, plant, place.Dead, patches, day, dateIndex));
        }

        plants.Sort((a, b) => a.Plant.Number.CompareTo(b.Plant.Number));
        return new PlantingOnDay(day, plants, gaps, trees, patches);
    }

    private sealed class Place(Plant plant, bool missing)
    {
        public Plant Plant { get; set; } = plant;

        public bool Missing { get; set; } = missing;

        public bool Dead { get; set; }
    }
}
