namespace Hillrow.Earth;

/// <summary>A place in a projected grid; which grid belongs to whatever holds it. Never a pixel.</summary>
public readonly record struct GridPoint(double EastingMetres, double NorthingMetres);
