namespace Hillrow.Mapping;

/// <summary>Gives each patch one capture so that regions are compact and seams run over level, low ground.</summary>
/// <remarks>
/// Starts from each patch's cheapest capture (close to the Voronoi cells of the ground nadir points) and lowers the sum
/// of view costs and seam costs patch by patch (iterated conditional modes, J. Besag 1986,
/// doi 10.1111/j.2517-6161.1986.tb01412.x, from memory). One thread, one order: the same result always.
/// </remarks>
internal static class SeamSmoothing
{
    /// <summary>A tenth of a second's work.</summary>
    private const int PatchesBetweenAsking = 65536;

    /// <returns>For each patch the position among its candidates; <see cref="PatchCandidates.None"/> without any.</returns>
    public static byte[] Choose(
        PatchGrid patches,
        PatchCandidates candidates,
        PatchLooks? looks,
        MappingSettings settings,
        CancellationToken cancel
    )
    {
        byte[] chosen = new byte[patches.Count];
        for (int patch = 0; patch < chosen.Length; patch++)
        {
            chosen[patch] = candidates.Counts[patch] > 0 ? (byte)0 : PatchCandidates.None;
        }

        for (int round = 0; round < settings.SmoothingRounds; round++)
        {
            int changes = 0;

            // Odd rounds go backwards, so that no corner of the map is favoured.
            for (int step = 0; step < chosen.Length; step++)
            {
                if (step % PatchesBetweenAsking == 0)
                {
                    cancel.ThrowIfCancellationRequested();
                }

                int patch = round % 2 == 0 ? step : chosen.Length - 1 - step;
                if (candidates.Counts[patch] > 1)
                {
                    changes += Improve(patches, candidates, looks, settings, chosen, patch) ? 1 : 0;
                }
            }

            if (changes == 0)
            {
                break;
            }
        }

        return chosen;
    }

    private static bool Improve(
        PatchGrid patches,
        PatchCandidates candidates,
        PatchLooks? looks,
        MappingSettings settings,
        byte[] chosen,
        int patch
    )
    {
        int row = patch / patches.Columns;
        int column = patch % patches.Columns;
        Span<int> neighbourViews = stackalloc int[4];
        Span<int> others = stackalloc int[4];
        Span<float> seams = stackalloc float[4];
        int neighbours = 0;
        foreach ((int down, int across) in (ReadOnlySpan<(int, int)>)[(-1, 0), (0, -1), (0, 1), (1, 0)])
        {
            int r = row + down;
            int c = column + across;
            int other = (r * patches.Columns) + c;
            if (r < 0 || c < 0 || r >= patches.Rows || c >= patches.Columns || chosen[other] == PatchCandidates.None)
            {
                continue;
            }

            neighbourViews[neighbours] = candidates.Views[(other * candidates.Most) + chosen[other]];
            others[neighbours] = other;
            float relief = MathF.Max(candidates.Reliefs[patch], candidates.Reliefs[other]);
            seams[neighbours++] = (float)(
                settings.SeamWeight * (1 + (settings.SeamReliefWeightPerMetre * MathF.Min(relief, 2)))
            );
        }

        float best = float.PositiveInfinity;
        byte bestAt = chosen[patch];
        float now = 0;
        for (byte at = 0; at < candidates.Counts[patch]; at++)
        {
            float cost = candidates.Costs[(patch * candidates.Most) + at];
            int view = candidates.Views[(patch * candidates.Most) + at];
            for (int k = 0; k < neighbours; k++)
            {
                if (neighbourViews[k] == view)
                {
                    continue;
                }

                cost += seams[k];
                if (looks is not null)
                {
                    cost +=
                        (float)(settings.SeamDifferenceWeight / 2)
                        * (
                            looks.Difference(patch, view, neighbourViews[k])
                            + looks.Difference(others[k], view, neighbourViews[k])
                        );
                }
            }

            now = at == chosen[patch] ? cost : now;
            if (cost < best)
            {
                best = cost;
                bestAt = at;
            }
        }

        if (bestAt == chosen[patch] || !(best < now))
        {
            return false;
        }

        chosen[patch] = bestAt;
        return true;
    }
}
