namespace Hillrow.Rehearsal;

/// <summary>The modelled rectangle, metres in the estate's local east-north-up frame.</summary>
/// <param name="WestMetres">East coordinate of the western edge.</param>
/// <param name="SouthMetres">North coordinate of the southern edge.</param>
/// <param name="WidthMetres">Extent to the east, above 0.</param>
/// <param name="LengthMetres">Extent to the north, above 0.</param>
public sealed record SceneExtent(double WestMetres, double SouthMetres, double WidthMetres, double LengthMetres)
{
    public double EastMetres => WestMetres + WidthMetres;

    public double NorthMetres => SouthMetres + LengthMetres;

    public bool Contains(double eastMetres, double northMetres) =>
        eastMetres >= WestMetres && eastMetres < EastMetres && northMetres >= SouthMetres && northMetres < NorthMetres;
}
