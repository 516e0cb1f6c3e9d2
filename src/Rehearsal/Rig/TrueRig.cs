using Hillrow.Numerics;

namespace Hillrow.Rehearsal;

/// <summary>One lens with its sensor, as mounted.</summary>
/// <param name="Band">What it sees.</param>
/// <param name="Lens">True optics.</param>
/// <param name="OffsetMetres">From the rig's reference point, in rig axes (x right, y tail, z down).</param>
/// <param name="CameraToRig">Turns camera axes into rig axes; nearly the identity.</param>
/// <param name="BlurPixels">Half width of the tent that a point of light makes, about 1.</param>
/// <param name="Sensor">Light to counts.</param>
public sealed record RigLens(
    RigBand Band,
    TrueLens Lens,
    Vector3D OffsetMetres,
    Matrix3D CameraToRig,
    double BlurPixels,
    TrueSensor Sensor
)
{
    /// <summary>Centre of projection in the local frame.</summary>
    public Vector3D Centre(RigPose pose) => pose.PositionMetres + (pose.RigToLocal() * OffsetMetres);

    /// <summary>Turns camera axes into east, north, up.</summary>
    public Matrix3D CameraToLocal(RigPose pose) => pose.RigToLocal() * CameraToRig;

    /// <summary>Pixel place of a point of the local frame.</summary>
    public Imaging.PixelPoint Project(RigPose pose, Vector3D localPoint) =>
        Lens.Project(CameraToLocal(pose).Transposed() * (localPoint - Centre(pose)));
}

/// <summary>The invented five-lens rig: what its maker promises, and what it is.</summary>
/// <param name="Lenses">Blue to near infrared.</param>
/// <param name="Nominal">The same rig as its data sheet has it.</param>
public sealed record TrueRig(IReadOnlyList<RigLens> Lenses, IReadOnlyList<RigLens> Nominal)
{
    public const int Columns = 1536;

    public const int Rows = 1152;

    /// <summary>Pixel edge of the invented sensor.</summary>
    public const double PixelMicrometres = 3.2;

    /// <summary>Focal length on the data sheet.</summary>
    public const double NominalFocalMillimetres = 4.7;

    /// <summary>The same rig with sensors of fewer, larger pixels that see the same: a light stand-in for many captures.</summary>
    /// <param name="edge">Of the new pixels in the old ones, at least 1; a divisor of the frame's sides.</param>
    /// <remarks>The lens residuals, a fifth of an old pixel, are left out; blur and noise are those of the new pixels.</remarks>
    public TrueRig Coarser(int edge)
    {
        if (edge < 1 || Columns % edge != 0 || Rows % edge != 0)
        {
            throw new ArgumentOutOfRangeException(nameof(edge), edge, "Must divide the frame's sides.");
        }

        RigLens Of(RigLens lens) =>
            lens with
            {
                Lens = lens.Lens with
                {
                    FocalColumns = lens.Lens.FocalColumns / edge,
                    FocalRows = lens.Lens.FocalRows / edge,
                    CentreColumn = lens.Lens.CentreColumn / edge,
                    CentreRow = lens.Lens.CentreRow / edge,
                    Residual = null,
                },
                Sensor = lens.Sensor with { PixelEdge = edge },
            };
        return edge == 1 ? this : new TrueRig([.. Lenses.Select(Of)], [.. Nominal.Select(Of)]);
    }

    /// <summary>A rig of its own for every seed: tolerances of a hand-assembled instrument.</summary>
    public static TrueRig Build(ulong seed)
    {
        SplittableRandom root = new SplittableRandom(seed).Split("rig");
        double nominalFocal = NominalFocalMillimetres * 1000 / PixelMicrometres;
        // A cross of five: near infrared in the middle, the others 24 mm around it.
        (double Right, double Tail)[] places = [(-0.024, 0), (0.024, 0), (0, -0.024), (0, 0.024), (0, 0)];
        List<RigLens> lenses = [];
        List<RigLens> nominal = [];
        for (int index = 0; index < 5; index++)
        {
            RigBand band = RigBand.Five[index];
            SplittableRandom draw = root.Split((ulong)index);
            double focal = nominalFocal * (1 + (0.006 * draw.NextGaussian()));
            TrueLens lens = new(
                focal,
                focal * (1 + (0.0002 * draw.NextGaussian())),
                (Columns / 2.0) + (9 * draw.NextGaussian()),
                (Rows / 2.0) + (9 * draw.NextGaussian()),
                -0.092 + (0.006 * draw.NextGaussian()),
                0.118 + (0.012 * draw.NextGaussian()),
                0.0004 * draw.NextGaussian(),
                0.0004 * draw.NextGaussian(),
                -0.028 + (0.006 * draw.NextGaussian()),
                new ResidualField(Columns, Rows, 0.22, draw.Split("residual"))
            );
            Vector3D turn = new(
                0.0045 * draw.NextGaussian(),
                0.0045 * draw.NextGaussian(),
                0.003 * draw.NextGaussian()
            );
            Vector3D place = new(places[index].Right, places[index].Tail, 0);
            Vector3D offset =
                place
                + new Vector3D(
                    0.0003 * draw.NextGaussian(),
                    0.0003 * draw.NextGaussian(),
                    0.0004 * draw.NextGaussian()
                );
            lenses.Add(
                new RigLens(
                    band,
                    lens,
                    offset,
                    Matrix3D.FromRotationVector(turn),
                    1 + (0.12 * draw.NextDouble()),
                    TrueSensor.Draw(index, draw.Split("sensor"))
                )
            );
            nominal.Add(
                new RigLens(
                    band,
                    new TrueLens(
                        nominalFocal,
                        nominalFocal,
                        Columns / 2.0,
                        Rows / 2.0,
                        -0.092,
                        0.118,
                        0,
                        0,
                        -0.028,
                        null
                    ),
                    place,
                    Matrix3D.Identity,
                    1,
                    TrueSensor.Nominal(index)
                )
            );
        }

        return new TrueRig(lenses, nominal);
    }
}
