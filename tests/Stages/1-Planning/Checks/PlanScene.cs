using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Planning;
using Hillrow.Sight;

namespace Hillrow.Checks;

/// <summary>An invented flying site for plans: any ground, any blocks, an invented camera and aircraft.</summary>
public static class PlanScene
{
    /// <summary>In an invented valley; only the sun and the datum care where it is.</summary>
    public static readonly LocalFrame Frame = new(GeodeticPosition.FromDegrees(-9.64, -78.28, 1200));

    /// <summary>1456 × 1088 pixels of 3.45 µm behind 5.5 mm, as our camera profiles' example; no distortion.</summary>
    public static PlanCamera Camera { get; } =
        new(
            "Invented hillside camera",
            "red",
            new BrownConradyLens(1088, 1456, new BrownConradyValues(1594.2, 1594.2, new PixelPoint(728, 544))),
            0.8,
            5L * 2 * 1456 * 1088
        );

    public static AircraftProfile Aircraft { get; } = AircraftToml.Parse(AircraftToml.Cautious, "test");

    /// <summary>Ground over a square of a half width around the origin.</summary>
    public static HeightField Ground(double halfMetres, double postMetres, Func<double, double, double> height)
    {
        ArgumentNullException.ThrowIfNull(height);
        int posts = (int)Math.Ceiling(2 * halfMetres / postMetres) + 1;
        float[] up = new float[posts * posts];
        for (int row = 0; row < posts; row++)
        {
            for (int column = 0; column < posts; column++)
            {
                up[(row * posts) + column] = (float)height(
                    -halfMetres + (column * postMetres),
                    halfMetres - (row * postMetres)
                );
            }
        }

        return new HeightField(-halfMetres, halfMetres, postMetres, posts, posts, up);
    }

    public static PlanPolygon Rectangle(double west, double south, double width, double height) =>
        new([
            new PlanPoint(west, south),
            new PlanPoint(west + width, south),
            new PlanPoint(west + width, south + height),
            new PlanPoint(west, south + height),
        ]);

    public static PlanningInput Input(
        HeightField ground,
        double sigmaMetres,
        IReadOnlyList<PlanPolygon> blocks,
        params PlanPoint[] homes
    )
    {
        ArgumentNullException.ThrowIfNull(blocks);
        ArgumentNullException.ThrowIfNull(homes);
        return new PlanningInput(
            Frame,
            ground,
            sigmaMetres,
            [.. blocks.Select((polygon, at) => new PlanBlock($"B{at + 1}", [polygon]))],
            [.. homes.Select((place, at) => new HomePoint($"home {at + 1}", place))],
            Camera,
            Aircraft
        );
    }
}
