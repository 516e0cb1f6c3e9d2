using System.Buffers.Binary;
using Hillrow.Earth;
using Hillrow.Numerics;
using Hillrow.Planning;
using Hillrow.Rehearsal;
using NetTopologySuite.Geometries;

namespace Hillrow.Estate.Tests;

/// <summary>An invented estate with all that a flying day needs: one block, a height tile, a camera, a plan.</summary>
internal sealed class PackScene : IDisposable
{
    public static readonly DateOnly Day = new(2026, 3, 14);

    private const string PlanName = "2026-03-14-first";

    /// <summary>Planned once: every scene has the same block, terrain and camera.</summary>
    private static string? planText;

    private readonly ScratchEstate scratch = new();

    public EstateFolder Estate => scratch.Estate;

    public string CameraFile => Path.Combine(Estate.CamerasFolder, "vega.toml");

    public string PlanFile => Path.Combine(PlanInputs.FlightsFolder(Estate), "plans", PlanName, "plan.json");

    public void Dispose() => scratch.Dispose();

    /// <summary>Middle of a block 120 m wide, in the estate's zone.</summary>
    public static GridPoint Middle { get; } =
        ReferenceSystem.Utm(18, north: false).ToGrid(GeographicPoint.FromDegrees(-7.25, -75.3));

    public static PackScene Whole()
    {
        PackScene scene = new();
        scene.AddBlock("North", Middle.EastingMetres, Middle.NorthingMetres);
        scene.AddTerrain();
        File.WriteAllText(
            scene.CameraFile,
            NominalProfile.Of(TrueRig.Build(3), CardDialect.All[0], PanelBoard.Build(3, Vector3D.Zero)).ToToml()
        );
        Directory.CreateDirectory(Path.GetDirectoryName(scene.PlanFile)!);
        planText ??= PlanJson.Of(scene.Plan(), PlanName);
        File.WriteAllText(scene.PlanFile, planText);
        return scene;
    }

    public static PackScene Empty() => new();

    private PlanningResult Plan() =>
        PlanningStage.Run(
            PlanInputs.Gather(
                Estate,
                new PlanWishes
                {
                    Homes = [Estate.ReferenceSystem.ToWgs84(Middle.EastingMetres, Middle.NorthingMetres)],
                },
                1
            ),
            new PlanningSettings
            {
                Threads = 1,
                PixelMetres = 0.08,
                Date = Day,
            }
        );

    public void AddBlock(string name, double easting, double northing)
    {
        GeometryFactory factory = new();
        Polygon outline = factory.CreatePolygon([
            new Coordinate(easting - 60, northing - 50),
            new Coordinate(easting + 60, northing - 50),
            new Coordinate(easting + 60, northing + 50),
            new Coordinate(easting - 60, northing + 50),
            new Coordinate(easting - 60, northing - 50),
        ]);
        new BlockBook(Estate).Store(
            [new Block(0, name, factory.CreateMultiPolygon([outline]), new BlockFacts(RowSpacingMetres: 2.5), "test")],
            replace: false
        );
    }

    /// <summary>A slope of one in five to the east, without its western part if asked.</summary>
    public void AddTerrain(int voidColumns = 0)
    {
        const int posts = 1201;
        byte[] tile = new byte[2 * posts * posts];
        for (int row = 0; row < posts; row++)
        {
            for (int column = 0; column < posts; column++)
            {
                BinaryPrimitives.WriteInt16BigEndian(
                    tile.AsSpan(2 * ((row * posts) + column)),
                    column < voidColumns ? short.MinValue : (short)(600 + (column * 92 / 5 / 10))
                );
            }
        }

        File.WriteAllBytes(Path.Combine(Estate.TerrainFolder, "S08W076.hgt"), tile);
    }

    public PackReport Look(Func<PackWishes, PackWishes>? change = null)
    {
        PackWishes plain = new()
        {
            Day = Day,
            Batteries = 3,
            FreeBytes = _ => 500L << 30,
        };
        return PackCheck.Look(Estate, change is null ? plain : change(plain));
    }
}
