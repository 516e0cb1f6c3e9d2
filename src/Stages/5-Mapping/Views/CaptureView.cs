using Hillrow.Earth;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Sight;

namespace Hillrow.Mapping;

/// <summary>A capture ready for mapping: where its camera stood and how each band sees.</summary>
internal sealed class CaptureView
{
    private CaptureView(int index, PlacedCapture capture, BandView[] bands)
    {
        Index = index;
        Id = capture.CaptureId;
        Pose = capture.Pose;
        Bands = bands;
    }

    /// <summary>In the survey's geometry; what the capture layer stores.</summary>
    public int Index { get; }

    public string Id { get; }

    public CameraPose Pose { get; }

    /// <summary>In the order of the map's bands.</summary>
    public BandView[] Bands { get; }

    /// <summary>Camera in the map's grid: easting, northing, height above the ellipsoid.</summary>
    public Vector3D CentreInGrid { get; private init; }

    /// <summary>Direction to the sun along grid axes (easting, northing, height), unit length; null when unknown.</summary>
    public Vector3D? TowardsSunInGrid { get; private init; }

    public double Penalty { get; private init; }

    /// <summary>Half angle of the cone about the reference band's axis that holds what every band sees.</summary>
    public double ReachRadians { get; private init; }

    /// <summary>Whether all bands see a local place at least so many pixels inside their frames; nothing is asked of the surface.</summary>
    public bool IsWellInside(Vector3D localMetres, double marginPixels)
    {
        foreach (BandView band in Bands)
        {
            PixelPoint at = band.PlaceOf(localMetres);
            if (
                !(
                    at.Column >= marginPixels
                    && at.Row >= marginPixels
                    && at.Column <= band.Columns - marginPixels
                    && at.Row <= band.Rows - marginPixels
                )
            )
            {
                return false;
            }
        }

        return true;
    }

    /// <summary>Cost of taking a place from this capture; false when a band does not have it inside its frame.</summary>
    /// <param name="localMetres">The place.</param>
    /// <param name="inGrid">The same place: easting, northing, height.</param>
    /// <param name="settings">Weights and margin.</param>
    /// <param name="cost">Off-nadir tangent squared, distance from the frame's middle squared, and the capture's own penalty.</param>
    public bool TryWeigh(Vector3D localMetres, Vector3D inGrid, MappingSettings settings, out float cost)
    {
        cost = float.NaN;
        if (!IsWellInside(localMetres, settings.FrameMarginPixels))
        {
            return false;
        }

        Vector3D up = CentreInGrid - inGrid;
        if (!(up.Z > 0))
        {
            return false;
        }

        BandView first = Bands[0];
        PixelPoint at = first.PlaceOf(localMetres);
        double across = (at.Column / first.Columns * 2) - 1;
        double down = (at.Row / first.Rows * 2) - 1;
        double nadir = ((up.X * up.X) + (up.Y * up.Y)) / (up.Z * up.Z);
        double edge = ((across * across) + (down * down)) / 2;
        cost = (float)((settings.NadirWeight * nadir) + (settings.FrameEdgeWeight * edge) + Penalty);
        return true;
    }

    /// <summary>Whether the surface leaves the line from a place to the camera free.</summary>
    public bool Sees(SurfaceGrid surface, double easting, double northing, float height, double toleranceMetres) =>
        surface.IsClear(
            easting,
            northing,
            height + toleranceMetres,
            CentreInGrid.X - easting,
            CentreInGrid.Y - northing,
            CentreInGrid.Z - height - toleranceMetres
        );

    public static CaptureView Of(MappingInput input, int index, IReadOnlyList<LensLattice> lattices)
    {
        SurveyGeometry geometry = input.Geometry;
        PlacedCapture capture = geometry.Captures[index];
        BandView[] bands = new BandView[lattices.Count];
        for (int band = 0; band < bands.Length; band++)
        {
            BandGeometry of = geometry.BandOf(input.Frames.Bands[band]);
            CameraPose pose = of.Mount.PoseOfBand(capture.Pose);
            bands[band] = new BandView(
                pose.CentreLocalMetres,
                pose.LocalToCamera,
                of.Lens.Rows,
                of.Lens.Columns,
                lattices[band]
            );
        }

        Vector3D centre = capture.Pose.CentreLocalMetres;
        return new CaptureView(index, capture, bands)
        {
            CentreInGrid = ToGrid(geometry.Frame, input.Grid.ReferenceSystem, centre),
            TowardsSunInGrid = SunInGrid(input, index, centre),
            Penalty = input.CapturePenalties?[index] ?? 0,
            ReachRadians = ReachOf(capture.Pose, bands),
        };
    }

    /// <summary>A local place in the map's grid: easting, northing, height above the ellipsoid.</summary>
    public static Vector3D ToGrid(LocalFrame frame, ReferenceSystem system, Vector3D localMetres)
    {
        GeodeticPosition place = frame.ToGeodetic(localMetres);
        GridPoint point = system.ToGrid(new GeographicPoint(place.Latitude, place.Longitude));
        return new Vector3D(point.EastingMetres, point.NorthingMetres, place.HeightAboveEllipsoidMetres);
    }

    private static double ReachOf(CameraPose pose, BandView[] bands)
    {
        double reach = 0;
        foreach (BandView band in bands)
        {
            LensLattice lattice = band.Lattice;
            double right = lattice.Left + (lattice.Cells / (double)lattice.ScaleAcross);
            double bottom = lattice.Top + (lattice.Cells / (double)lattice.ScaleDown);
            foreach (double across in (ReadOnlySpan<double>)[lattice.Left, right])
            {
                foreach (double down in (ReadOnlySpan<double>)[lattice.Top, bottom])
                {
                    Vector3D inLocal = band.LocalToCamera.Transposed() * new Vector3D(across, down, 1);
                    Vector3D seen = pose.LocalToCamera * inLocal;
                    reach = Math.Max(reach, Math.Atan2(Math.Sqrt((seen.X * seen.X) + (seen.Y * seen.Y)), seen.Z));
                }
            }
        }

        // Lenses sit centimetres apart: half a degree covers that at any height flown.
        return reach + 0.01;
    }

    // A straight line of the local frame is straight in the grid to a millimetre over 100 m, so two of its points tell all.
    private static Vector3D? SunInGrid(MappingInput input, int index, Vector3D centre)
    {
        if (input.TowardsSunLocal is not { } suns)
        {
            return null;
        }

        LocalFrame frame = input.Geometry.Frame;
        ReferenceSystem system = input.Grid.ReferenceSystem;
        Vector3D far = centre + (suns[index].Normalized() * 50);
        return (ToGrid(frame, system, far) - ToGrid(frame, system, centre)).Normalized();
    }
}

/// <summary>One band's frame of a capture.</summary>
/// <param name="CentreLocalMetres">Projection centre.</param>
/// <param name="LocalToCamera">Rotation into the band's camera frame.</param>
/// <param name="Rows">Of the frame.</param>
/// <param name="Columns">Of the frame.</param>
/// <param name="Lattice">The band's lens.</param>
internal sealed record BandView(
    Vector3D CentreLocalMetres,
    Matrix3D LocalToCamera,
    int Rows,
    int Columns,
    LensLattice Lattice
)
{
    /// <summary>Where a local place falls in the frame; NaN behind the camera or outside the lens's range.</summary>
    public PixelPoint PlaceOf(Vector3D localMetres)
    {
        Vector3D seen = LocalToCamera * (localMetres - CentreLocalMetres);
        return seen.Z > 0
            ? Lattice.PlaceOf((float)(seen.X / seen.Z), (float)(seen.Y / seen.Z))
            : new PixelPoint(double.NaN, double.NaN);
    }
}
