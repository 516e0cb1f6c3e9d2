using Hillrow.Earth;
using Hillrow.Mapping;
using Hillrow.Numerics;
using Hillrow.Rehearsal;

namespace Hillrow.Validation.Rehearsal;

/// <summary>The pictures of docs/validation/rehearsal.md.</summary>
/// <remarks>Colour pictures see all bands through the green lens, so that they overlay; real captures do not.</remarks>
public sealed class RehearsalPictures : PictureSource
{
    private const int Columns = TrueRig.Columns;
    private const int Rows = TrueRig.Rows;
    private static readonly Paint True = new([2, 1, 0], [0.31, 0.29, 0.25]);
    private static readonly Paint False = new([4, 2, 1], [0.85, 0.32, 0.27]);

    public override string Area => "rehearsal";

    public override void Make(string folder, Action<string> say)
    {
        ArgumentNullException.ThrowIfNull(say);
        int threads = Environment.ProcessorCount;
        EstateSettings settings = new() { Seed = 2 };
        (ModelledScene scene, _) = RehearsedDay.Build(settings, 0, CloudField.None, [], threads);
        Directory.CreateDirectory(folder);
        void Keep(string name, Picture picture)
        {
            File.WriteAllBytes(
                Path.Combine(folder, name + ".png"),
                PngWriter.Encode(picture.Pixels, picture.Rows, picture.Columns)
            );
            say($"  {name}.png, {picture.Columns} x {picture.Rows}");
        }

        float[][] frame = Frames(scene, 2, 1, threads);
        Keep("true-colour", True.Of(frame, Columns, new Window(0, 0, Columns, Rows), -2));
        Keep("false-colour", False.Of(frame, Columns, new Window(0, 0, Columns, Rows), -2));
        Keep("crown-close-up", True.Of(frame, Columns, new Window(60, 90, 250, 180), 3));
        Keep("shadow", new Paint([4, 4, 4], [0.75, 0.75, 0.75]).Of(frame, Columns, new Window(150, 60, 400, 300), 2));
        Keep(
            "shade-trees",
            True.Of(Over(scene, BlockKind.Shaded, threads), Columns, new Window(384, 288, 768, 576), 1)
        );
        Keep("stumped", True.Of(Over(scene, BlockKind.Stumped, threads), Columns, new Window(384, 288, 768, 576), 1));
        Keep("estate", Estate(scene, settings, threads));
        Keep("thermal", Thermal(scene, threads));

        (ModelledScene cloudy, _) = RehearsedDay.Build(settings, 0, new CloudField(0.4, 6, 3, 0.25, 4), [], threads);
        Keep("cloud-series", CloudSeries(cloudy, threads));
    }

    /// <summary>All bands through the green lens, 66 m above a place of the local frame.</summary>
    private static float[][] Frames(ModelledScene scene, double east, double north, int threads, double seconds = 0)
    {
        RigLens green = TrueRig.Build(1).Lenses[1];
        RigPose pose = new(new Vector3D(east, north, scene.Terrain.HeightAt(east, north) + 66), 24, 2, -3);
        WindSway wind = new(scene.Terrain.Extent, 0.03, seconds, 3);
        float[][] all = [.. RigBand.Five.Select(_ => new float[Columns * Rows])];
        for (int band = 0; band < all.Length; band++)
        {
            new FrameRenderer(scene, green with { Band = RigBand.Five[band] }).Render(
                pose,
                new Vector3D(0.005, 0, 0),
                seconds,
                wind,
                new FrameSettings(4, 5, band, OfSurface: false, threads),
                all[band]
            );
        }

        return all;
    }

    private static float[][] Over(ModelledScene scene, BlockKind kind, int threads)
    {
        EstateLayout layout = EstateLayout.Build(new EstateSettings { Seed = 2 });
        Plant[] plants =
        [
            .. scene
                .Planting.Plants.Select(state => state.Plant)
                .Where(plant => layout.Blocks[plant.BlockIndex].Kind == kind),
        ];
        return Frames(
            scene,
            plants.Average(plant => plant.EastMetres),
            plants.Average(plant => plant.NorthMetres),
            threads
        );
    }

    /// <summary>Counts of the thermal sensor over the same place, from their coldest to their hottest 0.5 %.</summary>
    private static Picture Thermal(ModelledScene scene, int threads)
    {
        ushort[] counts = [];
        RehearsalFlight flight = new(
            scene,
            TrueRig.Build(1),
            IrradianceSensor.Build(1),
            EstatePlace.InventedValley,
            new RehearsalFlightSettings(5, new DateTimeOffset(2026, 4, 12, 14, 30, 0, TimeSpan.Zero))
            {
                Threads = threads,
                Thermal = ThermalCamera.Build(1),
                // The other five are not looked at.
                Columns = 64,
                Rows = 48,
            }
        );
        Vector3D at = new(2, 1, scene.Terrain.HeightAt(2, 1) + 66);
        flight.Fly([new PlannedCapture(0, at, 24, 0)], capture => counts = capture.Thermal!.Counts);
        ushort[] sorted = [.. counts.Order()];
        double cold = sorted[sorted.Length / 200];
        double hot = sorted[^(sorted.Length / 200)];
        // Squared, since painting takes the root.
        float[] shares =
        [
            .. counts.Select(count => (float)Math.Pow(Math.Clamp((count - cold) / (hot - cold), 0, 1), 2)),
        ];
        return new Paint([0, 0, 0], [1, 1, 1]).Of(
            [shares],
            ThermalCamera.Columns,
            new Window(0, 0, ThermalCamera.Columns, ThermalCamera.Rows),
            3
        );
    }

    /// <summary>Green, four moments 12 s apart, side by side at a third.</summary>
    private static Picture CloudSeries(ModelledScene scene, int threads)
    {
        Paint grey = new([1, 1, 1], [0.2, 0.2, 0.2]);
        Picture[] moments =
        [
            .. Enumerable
                .Range(0, 4)
                .Select(moment =>
                    grey.Of(Frames(scene, 2, 1, threads, 12 * moment), Columns, new Window(0, 0, Columns, Rows), -6)
                ),
        ];
        return Picture.Beside(moments, 6);
    }

    /// <summary>The whole estate straight from above, north up, 0.25 m a pixel.</summary>
    private static Picture Estate(ModelledScene scene, EstateSettings settings, int threads)
    {
        EstatePlace place = EstatePlace.InventedValley;
        GridPoint middle = place.ToMap(Vector3D.Zero);
        int columns = (int)(settings.Extent.WidthMetres * 4);
        int rows = (int)(settings.Extent.LengthMetres * 4);
        GridGeometry grid = new(
            place.Zone.ToReferenceSystem(),
            new GridPoint(middle.EastingMetres - (columns / 8.0), middle.NorthingMetres + (rows / 8.0)),
            0.25,
            rows,
            columns
        );
        OrthoTruth truth = OrthoTruth.Render(scene, place, grid, 25, threads);
        return True.Of([.. truth.Reflectance], columns, new Window(0, 0, columns, rows), 1);
    }

    /// <summary>Part of a frame, pixels.</summary>
    private sealed record Window(int Column, int Row, int Columns, int Rows);

    /// <summary>Red, green, blue and alpha, row by row.</summary>
    private sealed record Picture(byte[] Pixels, int Rows, int Columns)
    {
        public static Picture Beside(Picture[] pictures, int gap)
        {
            int columns = pictures.Sum(picture => picture.Columns) + (gap * (pictures.Length - 1));
            int rows = pictures[0].Rows;
            byte[] pixels = new byte[4 * rows * columns];
            Array.Fill(pixels, (byte)255);
            int at = 0;
            foreach (Picture picture in pictures)
            {
                for (int row = 0; row < rows; row++)
                {
                    picture
                        .Pixels.AsSpan(4 * row * picture.Columns, 4 * picture.Columns)
                        .CopyTo(pixels.AsSpan(4 * ((row * columns) + at)));
                }

                at += picture.Columns + gap;
            }

            return new Picture(pixels, rows, columns);
        }
    }

    /// <summary>Which bands make red, green and blue, and which factor is white in each.</summary>
    private sealed record Paint(int[] Bands, double[] Whites)
    {
        /// <param name="zoom">Above 0 each pixel is shown as so many; below 0 so many make one.</param>
        public Picture Of(float[][] frame, int stride, Window window, int zoom)
        {
            int shrink = Math.Max(1, -zoom);
            int grow = Math.Max(1, zoom);
            int columns = window.Columns / shrink * grow;
            int rows = window.Rows / shrink * grow;
            byte[] pixels = new byte[4 * rows * columns];
            for (int row = 0; row < rows; row++)
            {
                for (int column = 0; column < columns; column++)
                {
                    int at = 4 * ((row * columns) + column);
                    for (int colour = 0; colour < 3; colour++)
                    {
                        double sum = 0;
                        for (int y = 0; y < shrink; y++)
                        {
                            for (int x = 0; x < shrink; x++)
                            {
                                int fromRow = window.Row + (row / grow * shrink) + y;
                                int fromColumn = window.Column + (column / grow * shrink) + x;
                                sum += frame[Bands[colour]][(fromRow * stride) + fromColumn];
                            }
                        }

                        double share = Math.Clamp(sum / (shrink * shrink) / Whites[colour], 0, 1);
                        pixels[at + colour] = (byte)Math.Round(255 * Math.Pow(share, 1 / 2.0));
                    }

                    pixels[at + 3] = 255;
                }
            }

            return new Picture(pixels, rows, columns);
        }
    }
}
