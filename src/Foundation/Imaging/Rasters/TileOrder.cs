namespace Hillrow.Imaging;

/// <summary>
/// Visits tiles along a Z-shaped curve, on several threads: the four tiles of an overview's tile follow each other, so
/// that few wait for their neighbours.
/// </summary>
/// <param name="tileRows">Rows of tiles, at least 1.</param>
/// <param name="tileColumns">Columns of tiles, at least 1.</param>
public sealed class TileOrder(int tileRows, int tileColumns)
{
    /// <summary>Calls <paramref name="visit"/> once for each tile; each thread has a state of its own.</summary>
    /// <param name="threads">0 for all cores.</param>
    public void ForEach<TState>(int threads, Func<TState> newState, Action<int, int, TState> visit)
    {
        int workers = Math.Max(1, Math.Min(threads > 0 ? threads : Environment.ProcessorCount, tileRows * tileColumns));
        using IEnumerator<TilePlace> tiles = ZCurve().GetEnumerator();
        Lock gate = new();
        bool stopped = false;
        if (workers == 1)
        {
            Work();
            return;
        }

        try
        {
            Parallel.For(0, workers, new ParallelOptions { MaxDegreeOfParallelism = workers }, _ => Work());
        }
        catch (AggregateException faults)
        {
            // The caller wants the fault itself (a full disk), not a bundle of the same from each thread.
            System.Runtime.ExceptionServices.ExceptionDispatchInfo.Throw(faults.InnerExceptions[0]);
        }

        void Work()
        {
            TState state = newState();
            while (true)
            {
                TilePlace tile;
                lock (gate)
                {
                    if (stopped || !tiles.MoveNext())
                    {
                        return;
                    }

                    tile = tiles.Current;
                }

                try
                {
                    visit(tile.Row, tile.Column, state);
                }
                catch
                {
                    lock (gate)
                    {
                        stopped = true;
                    }

                    throw;
                }
            }
        }
    }

    private IEnumerable<TilePlace> ZCurve()
    {
        uint side = System.Numerics.BitOperations.RoundUpToPowerOf2((uint)Math.Max(tileRows, tileColumns));
        Stack<Square> open = new([new Square(0, 0, side)]);
        while (open.TryPop(out Square square))
        {
            if (square.Row >= tileRows || square.Column >= tileColumns)
            {
                continue;
            }

            if (square.Side == 1)
            {
                yield return new TilePlace((int)square.Row, (int)square.Column);
                continue;
            }

            uint half = square.Side / 2;
            open.Push(new Square(square.Row + half, square.Column + half, half));
            open.Push(new Square(square.Row + half, square.Column, half));
            open.Push(new Square(square.Row, square.Column + half, half));
            open.Push(new Square(square.Row, square.Column, half));
        }
    }

    private readonly record struct TilePlace(int Row, int Column);

    private readonly record struct Square(uint Row, uint Column, uint Side);
}
