namespace Hillrow.Mapping;

/// <summary>One capture's work in one go.</summary>
/// <param name="View">Position in the list of views.</param>
/// <param name="Patches">With cells of it, ascending.</param>
/// <param name="Tiles">That hold those patches, ascending.</param>
internal sealed record FillTurn(int View, List<int> Patches, int[] Tiles);

/// <summary>In which order captures fill the map, so that few tiles wait half-filled at the same time.</summary>
/// <remarks>
/// Captures follow each other along the map's longer side. Where each reaches far over the map (taken from high up or
/// aslant), nearly all tiles would be open at once; the map is then filled in strips, and a capture that several strips
/// need is read once for each. The map does not depend on it: a cell has one capture.
/// </remarks>
internal static class FillOrder
{
    /// <param name="own">Of each view, the patches with cells of it, ascending.</param>
    /// <param name="patches">Of the map.</param>
    /// <param name="tileSize">Cells along a side of a tile.</param>
    /// <param name="mostOpen">Tiles that may wait at the same time.</param>
    public static IReadOnlyList<FillTurn> Of(
        IReadOnlyList<List<int>> own,
        PatchGrid patches,
        int tileSize,
        int mostOpen
    )
    {
        bool alongColumns = patches.Columns > patches.Rows;
        int perTile = tileSize / patches.Size;
        int tilesAlong = ((alongColumns ? patches.Columns : patches.Rows) + perTile - 1) / perTile;
        for (int strips = 1; ; strips *= 2)
        {
            int tilesPerStrip = (tilesAlong + strips - 1) / strips;
            FillTurn[] turns = InStrips(own, patches, tileSize, alongColumns, tilesPerStrip * perTile);
            if (tilesPerStrip == 1 || MostOpen(turns) <= mostOpen)
            {
                return turns;
            }
        }
    }

    /// <summary>Tiles open at the same time when turns are taken one by one.</summary>
    internal static int MostOpen(IReadOnlyList<FillTurn> turns)
    {
        Dictionary<int, int> last = [];
        for (int turn = 0; turn < turns.Count; turn++)
        {
            foreach (int tile in turns[turn].Tiles)
            {
                last[tile] = turn;
            }
        }

        HashSet<int> open = [];
        int most = 0;
        for (int turn = 0; turn < turns.Count; turn++)
        {
            open.UnionWith(turns[turn].Tiles);
            most = Math.Max(most, open.Count);
            foreach (int tile in turns[turn].Tiles)
            {
                if (last[tile] == turn)
                {
                    open.Remove(tile);
                }
            }
        }

        return most;
    }

    private static FillTurn[] InStrips(
        IReadOnlyList<List<int>> own,
        PatchGrid patches,
        int tileSize,
        bool alongColumns,
        int patchesPerStrip
    )
    {
        int Along(int patch) => alongColumns ? patch % patches.Columns : patch / patches.Columns;
        List<(int Strip, double Middle, FillTurn Turn)> turns = [];
        for (int view = 0; view < own.Count; view++)
        {
            foreach (IGrouping<int, int> strip in own[view].GroupBy(patch => Along(patch) / patchesPerStrip))
            {
                List<int> part = [.. strip];
                int[] tiles =
                [
                    .. part.Select(patch => CaptureFill.TileOf(patches, tileSize, patch)).Distinct().Order(),
                ];
                turns.Add((strip.Key, part.Average(patch => (double)Along(patch)), new FillTurn(view, part, tiles)));
            }
        }

        return
        [
            .. turns
                .OrderBy(entry => entry.Strip)
                .ThenBy(entry => entry.Middle)
                .ThenBy(entry => entry.Turn.View)
                .Select(entry => entry.Turn),
        ];
    }
}
