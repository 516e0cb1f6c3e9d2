namespace Hillrow.TestSupport;

/// <summary>How a board stands before a camera: turned about its own middle, then set out along the view.</summary>
/// <param name="TiltDegrees">About the picture's columns axis.</param>
/// <param name="SwingDegrees">About the picture's rows axis.</param>
/// <param name="TurnDegrees">About the view.</param>
/// <param name="Right">Of the board's middle, in squares.</param>
/// <param name="Down">Of the board's middle, in squares.</param>
/// <param name="Away">Depth of the board's middle, in squares.</param>
public sealed record BoardView(
    double TiltDegrees,
    double SwingDegrees,
    double TurnDegrees,
    double Right,
    double Down,
    double Away
);

/// <summary>
/// Pictures of a chess board drawn through a lens with radial distortion, written plainly and apart from the program's own
/// lens. Lengths are in squares of the board; pixels as the program counts them (first corner 0, first centre 0.5).
/// </summary>
public sealed record BoardSpecimen
{
    private const int Samples = 3;
    private const int InverseRounds = 10;

    public int CornersAcross { get; init; } = 7;

    public int CornersDown { get; init; } = 5;

    public int Rows { get; init; } = 360;

    public int Columns { get; init; } = 480;

    public double Focal { get; init; } = 431.5;

    public double CentreColumn { get; init; } = 246.3;

    public double CentreRow { get; init; } = 177.1;

    public double K1 { get; init; } = -0.21;

    public double K2 { get; init; } = 0.09;

    /// <summary>From all sides and into the frame's corners.</summary>
    public static IReadOnlyList<BoardView> Round { get; } =
    [
        new(0, 0, 2, 0, 0, 11),
        new(28, 5, 10, -2.2, -1.4, 12),
        new(-30, 8, -15, 2.4, -1.5, 12),
        new(6, 33, 20, -2.3, 1.6, 13),
        new(-4, -35, -8, 2.2, 1.5, 13),
        new(22, 24, 85, 0.5, 0.2, 12),
        new(-25, -22, 40, -0.6, 0.3, 12),
        new(12, -28, 170, 1.8, -1.2, 14),
        new(-18, 20, -95, -1.9, 1.0, 15),
    ];

    /// <summary>Where each inner corner is seen, row by row of the board.</summary>
    public IReadOnlyList<(double Column, double Row)> Corners(BoardView view) =>
        [
            .. Enumerable
                .Range(0, CornersAcross * CornersDown)
                .Select(corner => Seen(view, corner % CornersAcross, corner / CornersAcross)),
        ];

    /// <summary>Rows × columns, 8 bit: dark and bright squares on a bright sheet, grey beyond.</summary>
    public byte[] Pixels(BoardView view)
    {
        byte[] pixels = new byte[Rows * Columns];
        double[] rotation = Rotation(view);
        for (int at = 0; at < pixels.Length; at++)
        {
            double sum = 0;
            for (int sample = 0; sample < Samples * Samples; sample++)
            {
                sum += Brightness(
                    view,
                    rotation,
                    (at % Columns) + (((sample % Samples) + 0.5) / Samples),
                    (at / Columns) + (((sample / Samples) + 0.5) / Samples)
                );
            }

            pixels[at] = (byte)Math.Round(sum / (Samples * Samples));
        }

        return pixels;
    }

    /// <summary>The same as a TIFF of one band.</summary>
    public byte[] Tiff(BoardView view)
    {
        byte[] pixels = Pixels(view);
        TiffSpecimen file = new(bigEndian: false, bigTiff: false);
        file.AddPage()
            .Pixels(file, Rows, Columns, 1, new PixelCoding(), (row, column, _) => pixels[(row * Columns) + column]);
        return file.ToBytes();
    }

    private (double Column, double Row) Seen(BoardView view, double across, double down)
    {
        double[] r = Rotation(view);
        (double x, double y) = (across - ((CornersAcross - 1) / 2.0), down - ((CornersDown - 1) / 2.0));
        double z = (r[6] * x) + (r[7] * y) + view.Away;
        double u = ((r[0] * x) + (r[1] * y) + view.Right) / z;
        double v = ((r[3] * x) + (r[4] * y) + view.Down) / z;
        double s = (u * u) + (v * v);
        double radial = 1 + (K1 * s) + (K2 * s * s);
        return (CentreColumn + (Focal * radial * u), CentreRow + (Focal * radial * v));
    }

    private double Brightness(BoardView view, double[] r, double column, double row)
    {
        (double du, double dv) = ((column - CentreColumn) / Focal, (row - CentreRow) / Focal);
        (double u, double v) = (du, dv);
        for (int round = 0; round < InverseRounds; round++)
        {
            double s = (u * u) + (v * v);
            double radial = 1 + (K1 * s) + (K2 * s * s);
            (u, v) = (du / radial, dv / radial);
        }

        // The ray (u, v, 1)·z meets the board where r₁ x + r₂ y + t = z (u, v, 1): two equations without z, by Cramer's rule.
        (double a, double b) = (r[0] - (u * r[6]), r[1] - (u * r[7]));
        (double c, double d) = (r[3] - (v * r[6]), r[4] - (v * r[7]));
        (double e, double f) = ((u * view.Away) - view.Right, (v * view.Away) - view.Down);
        double all = (a * d) - (b * c);
        double x = ((e * d) - (b * f)) / all;
        double y = ((a * f) - (e * c)) / all;
        (double across, double down) = (x + ((CornersAcross + 1) / 2.0), y + ((CornersDown + 1) / 2.0));
        if (across < 0 || down < 0 || across >= CornersAcross + 1 || down >= CornersDown + 1)
        {
            return across is < -0.7 || down is < -0.7 || across > CornersAcross + 1.7 || down > CornersDown + 1.7
                ? 120
                : 220;
        }

        return ((int)across + (int)down) % 2 == 0 ? 30 : 220;
    }

    private static double[] Rotation(BoardView view)
    {
        (double sx, double cx) = Math.SinCos(view.TiltDegrees * Math.PI / 180);
        (double sy, double cy) = Math.SinCos(view.SwingDegrees * Math.PI / 180);
        (double sz, double cz) = Math.SinCos(view.TurnDegrees * Math.PI / 180);
        return
        [
            cz * cy,
            (cz * sy * sx) - (sz * cx),
            (cz * sy * cx) + (sz * sx),
            sz * cy,
            (sz * sy * sx) + (cz * cx),
            (sz * sy * cx) - (cz * sx),
            -sy,
            cy * sx,
            cy * cx,
        ];
    }
}
