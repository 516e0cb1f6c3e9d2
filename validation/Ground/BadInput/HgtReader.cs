using System.Buffers.Binary;
using Hillrow.Earth;

namespace Hillrow.Validation.Ground;

/// <summary>Radar height tiles; the size is fixed by the format, so the seed has 2.9 MB.</summary>
public sealed class HgtReader : ReaderUnderMutation
{
    private const int Side = 1201;

    public override string Name => ".hgt height tiles";

    public override bool NeedsFile => true;

    public override IReadOnlyList<SampleFile> Seeds()
    {
        byte[] bytes = new byte[2 * Side * Side];
        for (int post = 0; post < Side * Side; post++)
        {
            int height = 1500 + (post / Side / 4) + (post % Side / 3);
            BinaryPrimitives.WriteInt16BigEndian(
                bytes.AsSpan(2 * post),
                (short)(post % 997 == 0 ? short.MinValue : height)
            );
        }

        return [new("N05W076.hgt", bytes)];
    }

    public override IReadOnlyList<SampleFile> BadFiles() =>
        [
            new("N05W077.hgt", new byte[2 * 1201 * 1200]),
            new("tile.hgt", new byte[2 * Side * Side]),
            new("N99W077.hgt", new byte[2 * Side * Side]),
        ];

    public override void Read(byte[] bytes, string path)
    {
        // A small area, as an estate needs: the whole tile would only make the run longer.
        TerrainTile tile = HgtFile.Read(path, new GeographicArea(5.4, -75.6, 5.45, -75.55));
        Terrain terrain = new([tile]);
        _ = terrain.TryHeightAt(GeographicPoint.FromDegrees(5.42, -75.57), out _, TerrainInterpolation.Bicubic);
    }
}
