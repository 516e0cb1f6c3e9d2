namespace Hillrow.Rehearsal;

/// <summary>Grows a shade tree into the coarse cell layer: a trunk, and leaf clumps around a flat umbrella of limbs.</summary>
internal sealed class ShadeTreeCrown(CellLayer layer, float[] nearest, TerrainPosts terrain)
{
    private uint state;

    public void Grow(ShadeTree tree, int owner)
    {
        state = LatticeNoise.Mix(unchecked((uint)tree.Number * 668265263u));
        double ground = terrain.HeightAt(tree.EastMetres, tree.NorthMetres);
        for (double up = -0.1; up < 0.8 * tree.HeightMetres; up += layer.LevelMetres * 0.8)
        {
            for (int side = 0; side < 4; side++)
            {
                double around = side * Math.Tau / 4;
                layer.Fill(
                    tree.EastMetres + (0.07 * Math.Cos(around)),
                    tree.NorthMetres + (0.07 * Math.Sin(around)),
                    ground + up,
                    owner,
                    0,
                    nearest
                );
            }
        }

        int clumps = (int)(26 * tree.CrownRadiusMetres * tree.CrownRadiusMetres / 4) + 8;
        for (int index = 0; index < clumps; index++)
        {
            double around = Next() * Math.Tau;
            double off = tree.CrownRadiusMetres * Math.Sqrt(Next()) * 0.9;
            double flat = off / tree.CrownRadiusMetres;
            double middle = ground + (tree.HeightMetres * (0.93 - (0.26 * flat * flat) - (0.2 * Next())));
            Clump(
                owner,
                tree,
                tree.EastMetres + (off * Math.Cos(around)),
                tree.NorthMetres + (off * Math.Sin(around)),
                middle,
                0.32 + (0.32 * Next())
            );
        }
    }

    private void Clump(int owner, ShadeTree tree, double east, double north, double up, double radius)
    {
        int leaves = (int)(420 * radius * radius);
        for (int leaf = 0; leaf < leaves; leaf++)
        {
            double around = Next() * Math.Tau;
            double height = (2 * Next()) - 1;
            double reach = radius * Math.Pow(Next(), 0.4);
            double level = Math.Sqrt(1 - (height * height));
            double x = east + (reach * level * Math.Cos(around));
            double y = north + (reach * level * Math.Sin(around));
            double dx = x - tree.EastMetres;
            double dy = y - tree.NorthMetres;
            layer.Fill(x, y, up + (0.55 * reach * height), owner, (float)Math.Sqrt((dx * dx) + (dy * dy)), nearest);
        }
    }

    private double Next()
    {
        unchecked
        {
            // A counter through a mixer, as in ShrubCrown.
            state += 0x9e3779b9u;
            return LatticeNoise.Unit(LatticeNoise.Mix(state));
        }
    }
}
