namespace Hillrow.Rehearsal;

/// <summary>Decides, cell by cell, what the ground is made of and what low plants grow on it.</summary>
internal sealed class GroundPainter(EstateSettings settings, EstateLayout layout, TerrainPosts terrain, CellLayer layer)
{
    private readonly uint seed = unchecked((uint)settings.Seed * 374761393u);

    /// <summary>Paints the skin and lets grass and weeds grow into the layer, for one day.</summary>
    /// <param name="shade">Share of the sky that crowns cover, by cell block; litter gathers and weeds thin out below.</param>
    public void Paint(GroundCover cover, float[] shade, int dateIndex, int threads)
    {
        Parallel.For(
            0,
            layer.BlockRows,
            new ParallelOptions { MaxDegreeOfParallelism = threads },
            row =>
            {
                for (int column = 0; column < layer.BlockColumns; column++)
                {
                    PaintBlock(cover, column, row, shade[(row * layer.BlockColumns) + column], dateIndex);
                }
            }
        );
    }

    private unsafe void PaintBlock(GroundCover cover, int blockColumn, int blockRow, float shade, int dateIndex)
    {
        float edge = layer.CellMetres;
        float west = (float)layer.Extent.WestMetres + (blockColumn * 8 * edge);
        float south = (float)layer.Extent.SouthMetres + (blockRow * 8 * edge);
        float middleX = west + (4 * edge);
        float middleY = south + (4 * edge);
        // Hoes leave no straight edge.
        float wander = 0.7f * LatticeNoise.Fractal(middleX / 3.1f, middleY / 3.1f, 2, 0.6f, seed + 20);
        BlockPlan? block = layout.BlockAt(middleX + wander, middleY - wander);
        (_, double roadNorth) = layout.RoadOffset(middleX);
        float season = dateIndex % 2 == 0 ? 0.08f : -0.06f;
        // Weeds come in patches between rows, grass everywhere that nobody hoes.
        float grass = LatticeNoise.Fractal(middleX / 9, middleY / 9, 3, 0.55f, seed + 1);
        float weeds = LatticeNoise.Fractal(middleX / 5.5f, middleY / 5.5f, 3, 0.6f, seed + 2) + season;
        float dry = LatticeNoise.Fractal(middleX / 13, middleY / 13, 2, 0.5f, seed + 3) - season;
        bool inBlock = block is not null;
        float grassShare = inBlock ? (grass > 0.45f ? 0.35f * (grass - 0.45f) * 2 : 0) : 0.55f + (0.4f * grass);
        float weedShare = (inBlock ? 0.6f : 0.3f) * Math.Clamp((weeds - 0.28f) * 2.2f, 0, 1) * (1 - (0.75f * shade));
        grassShare = Math.Clamp(grassShare * (1 - (0.8f * shade)), 0, 0.9f);
        GroundMaterial soil = block?.SoilVariant switch
        {
            1 => GroundMaterial.DarkSoil,
            2 => GroundMaterial.PaleSoil,
            _ => GroundMaterial.Soil,
        };
        for (int cell = 0; cell < 64; cell++)
        {
            int column = (blockColumn * 8) + (cell & 7);
            int row = (blockRow * 8) + (cell >> 3);
            float x = west + (((cell & 7) + 0.5f) * edge);
            float y = south + (((cell >> 3) + 0.5f) * edge);
            int index = layer.IndexOf(column, row);
            float grain =
                (0.62f * LatticeNoise.Fractal(x / 0.7f, y / 0.7f, 3, 0.8f, seed + 10))
                + (0.4f * LatticeNoise.Smooth(x / 6, y / 6, seed + 11));
            float fine = LatticeNoise.Unit(LatticeNoise.Hash(column, row, seed + 12)) - 0.5f;
            double offRoad = Math.Abs(y - roadNorth);
            GroundMaterial material = soil;
            bool rock = OnRock(x, y);
            bool road = offRoad < EstateLayout.RoadHalfWidthMetres + (0.25 * grain);
            bool verge = road && offRoad < 0.35;
            float height = 0;
            int owner = 0;
            float dice = LatticeNoise.Unit(LatticeNoise.Hash(column, row, seed + 13));
            float tuft = LatticeNoise.Smooth(x / 0.22f, y / 0.22f, seed + 14);
            if (rock)
            {
                material = GroundMaterial.Rock;
            }
            else if (road && !verge)
            {
                material = GroundMaterial.Road;
            }
            else
            {
                if ((inBlock && grain + (1.3f * shade) > 0.75f) || fine > 0.46f)
                {
                    material = GroundMaterial.Litter;
                }

                if (dice < weedShare * (0.6f + (0.8f * tuft)))
                {
                    owner = GroundPlants.Weed;
                    height = 0.12f + (0.32f * MathF.Max(0, tuft) * weedShare) + (0.08f * dice);
                }
                else if (dice < grassShare * (0.75f + (0.6f * tuft)))
                {
                    owner = dry + (0.5f * tuft) > 0.35f ? GroundPlants.DryGrass : GroundPlants.Grass;
                    height = inBlock || verge ? 0.05f : 0.06f + (0.14f * dice);
                }

                if (grassShare > 0.3f && material != GroundMaterial.Litter)
                {
                    material = GroundMaterial.Turf;
                }
            }

            cover.Cells[index] = GroundCover.Pack(material, (int)(128 + (54 * grain) + (96 * fine)));
            if (owner != 0)
            {
                layer.FillFromGround(index, (float)terrain.HeightAt(x, y), height, owner);
            }
        }
    }

    private bool OnRock(float x, float y)
    {
        foreach (Rock rock in layout.RocksNear(x, y))
        {
            double dx = (x - rock.EastMetres) / rock.RadiusMetres;
            double dy = (y - rock.NorthMetres) / (rock.RadiusMetres * rock.Flatness);
            if ((dx * dx) + (dy * dy) < 0.97)
            {
                return true;
            }
        }

        return false;
    }
}
