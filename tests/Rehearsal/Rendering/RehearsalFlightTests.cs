using Hillrow.Numerics;
using Xunit;

namespace Hillrow.Rehearsal.Tests;

public sealed class RehearsalFlightTests
{
    [Fact]
    public void Fly_ShortPlan_PanelsAtBothEndsAndSameBytesForAnyThreads()
    {
        List<string> one = Fly(1);
        List<string> two = Fly(2);
        Assert.Equal(4, one.Count);
        Assert.Equal(one, two);
    }

    [Fact]
    public void Fly_PanelPicture_ShowsThePanelAtItsReflectance()
    {
        RehearsalCapture? panel = null;
        ushort[] red = [];
        Flight(2, 512, 384)
            .Fly(
                [],
                capture =>
                {
                    panel ??= capture;
                    red = red.Length == 0 ? [.. capture.Frames[2]] : red;
                }
            );
        Assert.NotNull(panel);
        CaptureTruth truth = panel.Truth;
        RigLens lens = SmallEstate.CentredRig(2, 512, 384).Lenses[2];
        Imaging.PixelPoint at = lens.Project(truth.Pose, truth.Panel!.CentreMetres);
        double sum = 0;
        int count = 0;
        for (int row = (int)at.Row - 20; row <= (int)at.Row + 20; row++)
        {
            for (int column = (int)at.Column - 20; column <= (int)at.Column + 20; column++)
            {
                sum +=
                    lens.Sensor.Radiance(
                        red[(row * 512) + column] >> TrueSensor.StoredShift,
                        column + 0.5,
                        row + 0.5,
                        panel.Exposures[2]
                    ) - truth.StrayRadiance[2];
                count++;
            }
        }

        double reflectance = Math.PI * sum / count / truth.ClearIrradiance[2].Total;
        Assert.Equal(truth.Panel.TrueReflectance[2], reflectance, 0.012);
    }

    private static List<string> Fly(int threads)
    {
        List<string> hashes = [];
        Flight(threads, 192, 144)
            .Fly(
                FlightLines.Over((x, y) => SmallEstate.Scene.Terrain.HeightAt(x, y), 0, 0, 25, 1, 2, 10, 0.7, 0.7),
                capture =>
                    hashes.Add(
                        string.Join(
                            ' ',
                            capture.Frames.Select(frame =>
                                Convert.ToHexString(
                                    System.Security.Cryptography.SHA256.HashData(
                                        System.Runtime.InteropServices.MemoryMarshal.AsBytes(frame.AsSpan())
                                    )
                                )
                            )
                        )
                            + capture.ReportedPlace
                            + string.Join(' ', capture.Irradiance)
                    )
            );
        return hashes;
    }

    private static RehearsalFlight Flight(int threads, int columns, int rows) =>
        new(
            SmallEstate.Scene,
            SmallEstate.CentredRig(2, columns, rows),
            IrradianceSensor.Build(2),
            EstatePlace.InventedValley,
            new RehearsalFlightSettings(12, new DateTimeOffset(2026, 4, 12, 14, 30, 0, TimeSpan.Zero))
            {
                Threads = threads,
                Columns = columns,
                Rows = rows,
                PanelPlace = (3, SmallEstateRoad),
            }
        );

    private static double SmallEstateRoad => EstateLayout.Build(SmallEstate.Settings).RoadOffset(3).RoadNorthMetres;
}
