using System.Collections.Concurrent;
using Hillrow.Earth;
using Hillrow.Imaging;

namespace Hillrow.Mapping;

/// <summary>The files of a map while they are written: tiles wait in memory only from their first capture to their last.</summary>
internal sealed class MapTiles : IDisposable
{
    private readonly CogWriter<ushort> reflectance;
    private readonly CogWriter<byte> sigma;
    private readonly CogWriter<ushort> capture;
    private readonly CogWriter<byte> view;
    private readonly CogWriter<byte> shadow;
    private readonly CogWriter<ushort>? nadirFactor;
    private readonly MapTile?[] open;
    private readonly int[] waitingFor;

    /// <summary>Whole tiles that are written, to be used again: large arrays let go of pile up unused.</summary>
    private readonly Stack<MapTile> spare = new();
    private readonly Lock gate = new();

    public MapTiles(MapFiles files, MapLabels labels, MappingSettings settings, int tileCount)
    {
        CogLayout measured = new() { Level = settings.CompressionLevel, TileSize = settings.TileSize };
        CogLayout classes = CogLayout.ForClasses with
        {
            Level = settings.CompressionLevel,
            TileSize = settings.TileSize,
        };
        reflectance = CogWriter.Create<ushort>(files.Reflectance, labels.Reflectance, measured);
        sigma = CogWriter.Create<byte>(files.Sigma, labels.Sigma, classes);
        capture = CogWriter.Create<ushort>(files.Capture, labels.Capture, classes);
        view = CogWriter.Create<byte>(files.View, labels.View, classes);
        shadow = CogWriter.Create<byte>(files.Shadow, labels.Shadow, classes);
        nadirFactor = labels.NadirFactor is null
            ? null
            : CogWriter.Create<ushort>(files.NadirFactor, labels.NadirFactor, classes);
        Bands = labels.Reflectance.Bands.Count;
        open = new MapTile?[tileCount];
        waitingFor = new int[tileCount];
    }

    public int Bands { get; }

    /// <summary>Of a whole tile of every layer in memory.</summary>
    public long TileBytes =>
        (long)reflectance.RowsOfTile(0)
        * reflectance.ColumnsOfTile(0)
        * ((Bands * (nadirFactor is null ? 3 : 5)) + sizeof(ushort) + 2 + 1);

    /// <summary>Says how many captures will call <see cref="Finish"/> for a tile.</summary>
    public void Expect(int tile, int captures) => waitingFor[tile] = captures;

    /// <summary>The tile's cells; made empty at the first call.</summary>
    public MapTile Open(int tile)
    {
        lock (gate)
        {
            return open[tile] ??= NewTile(tile);
        }
    }

    /// <summary>One of the captures of a tile is done with it; the last one has it written.</summary>
    public void Finish(int tile)
    {
        MapTile? done = null;
        lock (gate)
        {
            if (--waitingFor[tile] == 0)
            {
                done = open[tile];
                open[tile] = null;
            }
        }

        if (done is not null)
        {
            Write(tile, done);
            Spare(done);
        }
    }

    /// <summary>Writes a tile that no capture reaches.</summary>
    public void WriteEmpty(int tile)
    {
        MapTile empty;
        lock (gate)
        {
            empty = NewTile(tile);
        }

        Write(tile, empty);
        Spare(empty);
    }

    public void Complete()
    {
        reflectance.Complete();
        sigma.Complete();
        capture.Complete();
        view.Complete();
        shadow.Complete();
        nadirFactor?.Complete();
    }

    public void Dispose()
    {
        reflectance.Dispose();
        sigma.Dispose();
        capture.Dispose();
        view.Dispose();
        shadow.Dispose();
        nadirFactor?.Dispose();
    }

    /// <summary>Empty; asked for behind the gate.</summary>
    private MapTile NewTile(int tile)
    {
        int rows = reflectance.RowsOfTile(tile / reflectance.TileColumns);
        int columns = reflectance.ColumnsOfTile(tile % reflectance.TileColumns);
        if (spare.TryPeek(out MapTile? used) && used.Rows == rows && used.Columns == columns)
        {
            spare.Pop().Clear();
            return used;
        }

        return new MapTile(rows, columns, Bands, nadirFactor is not null);
    }

    private void Spare(MapTile written)
    {
        lock (gate)
        {
            spare.Push(written);
        }
    }

    private void Write(int tile, MapTile cells)
    {
        int row = tile / reflectance.TileColumns;
        int column = tile % reflectance.TileColumns;
        reflectance.WriteTile(row, column, cells.Reflectance);
        sigma.WriteTile(row, column, cells.Sigma);
        capture.WriteTile(row, column, cells.Capture);
        view.WriteTile(row, column, cells.View);
        shadow.WriteTile(row, column, cells.Shadow);
        nadirFactor?.WriteTile(row, column, cells.NadirFactor);
    }
}

/// <summary>Cells of one tile of every layer, row-major, band after band; empty at first.</summary>
internal sealed class MapTile
{
    public MapTile(int rows, int columns, int bands, bool normalised)
    {
        Rows = rows;
        Columns = columns;
        int cells = rows * columns;
        Reflectance = new ushort[cells * bands];
        Sigma = new byte[cells * bands];
        Capture = new ushort[cells];
        View = new byte[cells * 2];
        Shadow = new byte[cells];
        NadirFactor = normalised ? new ushort[cells * bands] : [];
        Clear();
    }

    public int Rows { get; }

    public int Columns { get; }

    public ushort[] Reflectance { get; }

    public byte[] Sigma { get; }

    public ushort[] Capture { get; }

    public byte[] View { get; }

    public byte[] Shadow { get; }

    /// <summary>Empty where the layer is not asked for.</summary>
    public ushort[] NadirFactor { get; }

    /// <summary>Makes every cell of every layer empty.</summary>
    public void Clear()
    {
        Array.Fill(Reflectance, ReflectanceCode.Missing);
        Array.Clear(Sigma);
        Array.Fill(Capture, MapLabels.NoCapture);
        Array.Fill(View, MapLabels.NoByte);
        Array.Fill(Shadow, MapLabels.NoByte);
        Array.Clear(NadirFactor);
    }
}
