namespace Hillrow.Validation;

/// <summary>
/// Makes the pictures of an area's page; <c>./validate AREA --pictures</c> makes them anew. Every class below
/// validation/ that derives from this is found by itself.
/// </summary>
public abstract class PictureSource
{
    /// <summary>Area as given to <c>./validate AREA</c>.</summary>
    public abstract string Area { get; }

    /// <summary>Writes the pictures, always the same ones, into the folder beside the area's page.</summary>
    public abstract void Make(string folder, Action<string> say);
}
