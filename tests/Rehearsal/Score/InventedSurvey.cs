using System.Collections.Concurrent;
using Hillrow.Earth;
using Hillrow.Numerics;

namespace Hillrow.Rehearsal.Tests;

/// <summary>A small survey with known truth for the scorer: textured maps, plants in rows, gaps, sick plants.</summary>
internal static class InventedSurvey
{
    public const double Cell = 0.05;
    private const int Side = 448;

    public static GridGeometry Grid { get; } =
        new(ReferenceSystem.Utm(21, false), new GridPoint(447_500, 8_426_024), Cell, Side, Side);

    public static SurveyTruth Truth(int seed = 4)
    {
        string[] bands = [.. RigBand.Five.Select(band => band.Name)];
        SplittableRandom draw = new SplittableRandom((ulong)seed).Split("plants");
        List<PlantTruth> plants = [];
        List<GapTruth> gaps = [];
        for (int row = 0; row < 8; row++)
        {
            for (int place = 0; place < 14; place++)
            {
                double easting = 447_501.2 + (1.5 * place);
                double northing = 8_426_022 - (2.5 * row);
                int position = (row * 14) + place;
                if (position % 9 == 4)
                {
                    gaps.Add(new GapTruth(position, "Ladera", row, easting, northing));
                    continue;
                }

                plants.Add(
                    new PlantTruth(
                        position + 1,
                        position,
                        "Ladera",
                        BlockKind.Open,
                        row,
                        easting,
                        northing,
                        draw.NextDouble(1.2, 2.4),
                        draw.NextDouble(0.7, 2.1),
                        1,
                        0.9,
                        50,
                        position % 7 == 0 ? 0.6 : 0,
                        0,
                        0,
                        false,
                        false,
                        position % 7 == 0
                    )
                );
            }
        }

        float[] numbers = new float[Side * Side];
        foreach (PlantTruth plant in plants)
        {
            Paint(numbers, plant);
        }

        return new SurveyTruth(
            new FlightTruth(
                new DateOnly(2026, 4, 12),
                "brisa",
                40,
                default,
                40,
                50,
                1.5,
                Grid.WestMetres + 0.5,
                Grid.SouthMetres + 0.5,
                Grid.EastMetres - 0.5,
                Grid.NorthMetres - 0.5,
                bands
            ),
            plants,
            gaps,
            new ScoredMap(Grid, bands, [.. bands.Select((_, band) => Texture(seed, band, 0, 0))]),
            new ScoredMap(
                Grid,
                ["surface", "middle", "ground"],
                [Texture(seed, 9, 0, 0), Texture(seed, 9, 0, 0), Texture(seed, 10, 0, 0)]
            ),
            new ScoredMap(Grid, ["plant"], [numbers])
        );
    }

    /// <summary>Products without any error but for shifts: the maps lie too far east and north by so many cells.</summary>
    public static SurveyProducts Products(
        SurveyTruth truth,
        int seed = 4,
        Func<int, (double East, double North)>? shiftOfBand = null,
        (double East, double North) plantsShiftMetres = default
    ) =>
        new("2026-04-12")
        {
            Reflectance = new ScoredMap(
                Grid,
                truth.Flight.Bands,
                [
                    .. truth.Flight.Bands.Select(
                        (_, band) =>
                        {
                            (double east, double north) = shiftOfBand?.Invoke(band) ?? (0, 0);
                            return Texture(seed, band, east, north);
                        }
                    ),
                ]
            ),
            ReflectanceSigma = new ScoredMap(
                Grid,
                truth.Flight.Bands,
                [.. truth.Flight.Bands.Select(_ => Filled(0.01f))]
            ),
            Surface = new ScoredMap(Grid, ["surface"], [Texture(seed, 9, 0, 0)]),
            Ground = new ScoredMap(Grid, ["ground"], [Texture(seed, 10, 0, 0)]),
            Plants =
            [
                .. truth.Plants.Select(plant => new FoundPlant(
                    plant.Number + 500,
                    new GridPoint(
                        plant.EastingMetres + plantsShiftMetres.East,
                        plant.NorthingMetres + plantsShiftMetres.North
                    )
                )
                {
                    PlaceSigmaMetres = 0.1,
                    HeightMetres = plant.HeightMetres,
                    HeightSigmaMetres = 0.1,
                    CrownAreaSquareMetres = truth.OutlineAreas[plant.Number],
                    CrownAreaSigmaSquareMetres = 0.1,
                    FoliageDensity = plant.SeenAreaSquareMetres / truth.OutlineAreas[plant.Number],
                    FoliageDensitySigma = 0.05,
                    Departure = plant.IsDeclining ? -3 : 0,
                    IsDeclining = plant.IsDeclining,
                }),
            ],
            Gaps = [.. truth.Gaps.Select(gap => new GridPoint(gap.EastingMetres, gap.NorthingMetres))],
            HasFindings = true,
        };

    private static float[] Filled(float value)
    {
        float[] plane = new float[Side * Side];
        Array.Fill(plane, value);
        return plane;
    }

    private static readonly ConcurrentDictionary<(int, int, double, double), float[]> Kept = new();

    /// <summary>A sum of waves that can be shifted exactly; nobody changes it, so it is made once.</summary>
    private static float[] Texture(int seed, int band, double shiftEast, double shiftNorth) =>
        Kept.GetOrAdd((seed, band, shiftEast, shiftNorth), key => Waves(key.Item1, key.Item2, key.Item3, key.Item4));

    private static float[] Waves(int seed, int band, double shiftEast, double shiftNorth)
    {
        SplittableRandom draw = new SplittableRandom((ulong)seed).Split("texture");
        (double X, double Y, double Phase, double Size)[] waves =
        [
            .. Enumerable
                .Range(0, 32)
                .Select(index =>
                    (
                        // A quarter of the waves are long, as blocks and bare patches are.
                        draw.NextDouble(-0.9, 0.9) * (index % 4 == 0 ? 0.15 : 1),
                        draw.NextDouble(-0.9, 0.9) * (index % 4 == 0 ? 0.15 : 1),
                        draw.NextDouble(0, Math.Tau),
                        draw.NextDouble(0.2, 1)
                    )
                ),
        ];
        float[] plane = new float[Side * Side];
        Parallel.For(
            0,
            Side,
            row =>
            {
                for (int column = 0; column < Side; column++)
                {
                    double x = column - shiftEast;
                    double y = row + shiftNorth;
                    double sum = 0;
                    foreach ((double fx, double fy, double phase, double size) in waves)
                    {
                        sum += size * Math.Sin((fx * x) + (fy * y) + phase + (0.3 * band));
                    }

                    plane[(row * Side) + column] = (float)(0.3 + (0.03 * sum) + (0.02 * band));
                }
            }
        );
        return plane;
    }

    private static void Paint(float[] numbers, PlantTruth plant)
    {
        double radius = Math.Sqrt(plant.CrownAreaSquareMetres / Math.PI) / Cell;
        double middleColumn = Grid.ColumnOf(plant.EastingMetres);
        double middleRow = Grid.RowOf(plant.NorthingMetres);
        for (int row = (int)(middleRow - radius); row <= middleRow + radius; row++)
        {
            for (int column = (int)(middleColumn - radius); column <= middleColumn + radius; column++)
            {
                double away = Math.Pow(column + 0.5 - middleColumn, 2) + Math.Pow(row + 0.5 - middleRow, 2);
                if (away <= radius * radius && row is >= 0 and < Side && column is >= 0 and < Side)
                {
                    numbers[(row * Side) + column] = plant.Number;
                }
            }
        }
    }
}
