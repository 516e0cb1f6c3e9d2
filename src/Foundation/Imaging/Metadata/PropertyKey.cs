namespace Hillrow.Imaging;

/// <summary>Which table of a file a property stands in.</summary>
public enum PropertySource
{
    /// <summary>The image's own directory (in a JPEG: the first directory of its EXIF block).</summary>
    Tiff,

    /// <summary>The EXIF directory.</summary>
    Exif,

    /// <summary>The GPS directory.</summary>
    Gps,

    /// <summary>The XMP packet.</summary>
    Xmp,
}

/// <summary>Names one property of a file: by tag number, or in XMP by namespace URI and path.</summary>
/// <param name="Source">Table.</param>
/// <param name="Tag">Tag number; 0 in XMP.</param>
/// <param name="NamespaceUri">XMP only: namespace of the outermost name; never a prefix, which any writer may choose.</param>
/// <param name="Path">
/// XMP only: names joined by "/", items of lists of structures as "[1]" (the first is 1). A name from another
/// namespace than the outermost stands as "{uri}name"; a qualifier as "@name".
/// </param>
public readonly record struct PropertyKey(PropertySource Source, int Tag, string NamespaceUri, string Path)
    : IComparable<PropertyKey>
{
    public static PropertyKey Tiff(int tag) => new(PropertySource.Tiff, tag, "", "");

    public static PropertyKey Exif(int tag) => new(PropertySource.Exif, tag, "", "");

    public static PropertyKey Gps(int tag) => new(PropertySource.Gps, tag, "", "");

    public static PropertyKey Xmp(string namespaceUri, string path) => new(PropertySource.Xmp, 0, namespaceUri, path);

    public int CompareTo(PropertyKey other)
    {
        int order = Source.CompareTo(other.Source);
        order = order != 0 ? order : Tag.CompareTo(other.Tag);
        order = order != 0 ? order : string.CompareOrdinal(NamespaceUri, other.NamespaceUri);
        return order != 0 ? order : string.CompareOrdinal(Path, other.Path);
    }

    public override string ToString() =>
        Source == PropertySource.Xmp
            ? $"XMP {NamespaceUri} {Path}"
            : FormattableString.Invariant($"{Source} tag {Tag}");

    public static bool operator <(PropertyKey left, PropertyKey right) => left.CompareTo(right) < 0;

    public static bool operator >(PropertyKey left, PropertyKey right) => left.CompareTo(right) > 0;

    public static bool operator <=(PropertyKey left, PropertyKey right) => left.CompareTo(right) <= 0;

    public static bool operator >=(PropertyKey left, PropertyKey right) => left.CompareTo(right) >= 0;
}
