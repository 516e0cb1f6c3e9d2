namespace Hillrow.Rehearsal;

/// <summary>
/// Grows a shrub into a cell layer: stems, pairs of near-level branches turned a quarter from node to node, leaves
/// along them. Every plant has its own shape from its seed, the same at every date, so a crown grows, not flickers.
/// </summary>
internal sealed class ShrubCrown(CellLayer layer, float[] nearest, TerrainPosts terrain)
{
    private const double NodeMetres = 0.075;
    private const double LeafStepMetres = 0.05;
    private uint state;

    /// <param name="owner">Number that the layer keeps for the plant.</param>
    public void Grow(PlantState plant, BlockKind kind, int owner)
    {
        Plant who = plant.Plant;
        state = LatticeNoise.Mix(unchecked((uint)who.Number * 2246822519u));
        double ground = terrain.HeightAt(who.EastMetres, who.NorthMetres);
        double turn = Next() * Math.Tau;
        bool sprouting = kind == BlockKind.Stumped && who.Stems > 1;
        double stump = sprouting ? 0.3 + (0.1 * Next()) : 0;
        if (sprouting)
        {
            Stump(who.EastMetres, who.NorthMetres, ground, stump, owner);
        }

        for (int stem = 0; stem < who.Stems; stem++)
        {
            double around = turn + (stem * Math.Tau / who.Stems) + (0.5 * (Next() - 0.5));
            double apart =
                who.Stems == 1 ? 0
                : sprouting ? 0.07
                : 0.16;
            double lean = who.Stems == 1 ? 0.08 * (Next() - 0.5) : 0.16 + (0.1 * Next());
            double share = who.Stems == 1 ? 1 : 0.86;
            double east = who.EastMetres + (apart * Math.Cos(around));
            double north = who.NorthMetres + (apart * Math.Sin(around));
            double tall = plant.HeightMetres * (stem == 0 ? 1 : 0.86 + (0.14 * Next()));
            Stem(
                plant,
                owner,
                new Trunk(east, north, ground + stump, Math.Max(0.12, tall - stump), lean, around),
                plant.CrownRadiusMetres * share,
                turn
            );
        }
    }

    private void Stump(double east, double north, double ground, double tall, int owner)
    {
        for (double up = -0.05; up < tall; up += layer.LevelMetres * 0.9)
        {
            for (int side = 0; side < 8; side++)
            {
                double around = side * Math.Tau / 8;
                layer.Fill(
                    east + (0.06 * Math.Cos(around)),
                    north + (0.06 * Math.Sin(around)),
                    ground + up,
                    owner,
                    0,
                    nearest
                );
            }
        }
    }

    private void Stem(PlantState plant, int owner, Trunk trunk, double radius, double turn)
    {
        for (double up = 0; up < trunk.Tall; up += layer.LevelMetres * 0.8)
        {
            (double x, double y) = trunk.At(up);
            layer.Fill(x, y, trunk.Ground + up, owner, 0, nearest);
        }

        // A sick root drops the lower leaves first and leaves a stretched, see-through plant.
        double bare = 0.05 + (0.3 * plant.PestSeverity) + (0.1 * Next());
        int node = 0;
        for (double up = bare * trunk.Tall; up < trunk.Tall; up += NodeMetres)
        {
            double share = up / trunk.Tall;
            double reach = radius * Profile(share);
            (double x, double y) = trunk.At(up);
            for (int side = 0; side < 2; side++)
            {
                double around = turn + (node * 1.62) + (side * Math.PI) + (0.5 * (Next() - 0.5));
                double length = reach * (0.72 + (0.42 * Next()));
                double vigour = 0.55 + (0.6 * Next());
                double rise = 0.34 * (share - 0.25) + (0.22 * (Next() - 0.5));
                Branch(plant, owner, trunk, new Shoot(x, y, trunk.Ground + up, around, length, rise), vigour);
            }

            node++;
        }

        // The leading tip carries the youngest leaves.
        (double tipX, double tipY) = trunk.At(trunk.Tall);
        Leaf(owner, trunk, tipX, tipY, trunk.Ground + trunk.Tall - 0.03);
    }

    /// <summary>Crown outline: reach over the mean radius, by height share; widest at a third of the height.</summary>
    private static double Profile(double share) =>
        share < 0.32 ? 0.82 + (0.56 * share) : Math.Max(0.1, Math.Pow(1 - ((share - 0.32) / 0.72), 0.62));

    private void Branch(PlantState plant, int owner, Trunk trunk, Shoot shoot, double vigour)
    {
        double along = 0.1 * shoot.Length;
        double density = plant.FoliageDensity * vigour * 1.12;
        (double c, double s) = (Math.Cos(shoot.Around), Math.Sin(shoot.Around));
        double stretch = plant.CrownStretch;
        for (; along < shoot.Length; along += LeafStepMetres)
        {
            double share = along / Math.Max(0.05, shoot.Length);
            double x = shoot.East + (along * c * stretch);
            double y = shoot.North + (along * s / stretch);
            double z = shoot.Up + (shoot.Rise * along) - (0.34 * along * along / Math.Max(0.4, shoot.Length));
            // Old wood near the stem is bare, the outer two thirds carry the leaves.
            double here = density * Math.Clamp(0.25 + (2.2 * share), 0, 1);
            bool twig = Next() < 0.3;
            if (twig)
            {
                layer.Fill(x, y, z, owner, trunk.Nearness(x, y), nearest);
            }

            for (int side = -1; side <= 1; side += 2)
            {
                if (Next() >= here)
                {
                    continue;
                }

                double droop = 0.02 + (0.05 * Next());
                double out1 = 0.035 + (0.02 * Next());
                double out2 = 0.085 + (0.03 * Next());
                double forward = 0.03 * Next();
                Leaf(owner, trunk, x - (s * side * out1) + (c * forward), y + (c * side * out1) + (s * forward), z);
                Leaf(
                    owner,
                    trunk,
                    x - (s * side * out2) + (2 * c * forward),
                    y + (c * side * out2) + (2 * s * forward),
                    z - droop
                );
            }
        }
    }

    private void Leaf(int owner, Trunk trunk, double x, double y, double z) =>
        layer.Fill(x, y, z, owner, trunk.Nearness(x, y), nearest);

    private double Next()
    {
        unchecked
        {
            // A counter through a mixer: cheap, and independent of any other plant.
            state += 0x9e3779b9u;
            return LatticeNoise.Unit(LatticeNoise.Mix(state));
        }
    }

    private readonly record struct Shoot(
        double East,
        double North,
        double Up,
        double Around,
        double Length,
        double Rise
    );

    private readonly record struct Trunk(
        double East,
        double North,
        double Ground,
        double Tall,
        double Lean,
        double LeanTo
    )
    {
        public (double East, double North) At(double up) =>
            (East + (Lean * up * Math.Cos(LeanTo)), North + (Lean * up * Math.Sin(LeanTo)));

        public float Nearness(double x, double y) =>
            (float)Math.Sqrt(((x - East) * (x - East)) + ((y - North) * (y - North)));
    }
}
