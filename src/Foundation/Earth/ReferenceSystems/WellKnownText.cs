using Hillrow.Numerics;

namespace Hillrow.Earth;

/// <summary>
/// Reference systems from well-known text: version 1 (as in .prj files and GeoPackages, with or without authority codes)
/// and version 2 (ISO 19162). An EPSG code we know wins; otherwise datum, method and parameters are read.
/// </summary>
public static class WellKnownText
{
    private const double RadiansPerDegree = Math.PI / 180;

    /// <param name="text">The whole text.</param>
    /// <param name="where">The file or layer it came from, for messages.</param>
    /// <exception cref="InputProblemException">Not well-known text, or a system we cannot use; names it and how to mend it.</exception>
    public static ReferenceSystem Read(string text, string where)
    {
        ArgumentNullException.ThrowIfNull(text);
        ArgumentNullException.ThrowIfNull(where);
        return System(Horizontal(WellKnownTextNode.Parse(text, where), where), where);
    }

    private static WellKnownTextNode Horizontal(WellKnownTextNode node, string where)
    {
        for (int depth = 0; depth < 4; depth++)
        {
            if (
                node.Keyword
                is "PROJCS"
                    or "GEOGCS"
                    or "PROJCRS"
                    or "PROJECTEDCRS"
                    or "GEOGCRS"
                    or "GEOGRAPHICCRS"
                    or "GEODCRS"
                    or "GEODETICCRS"
            )
            {
                return node;
            }

            node =
                node.Keyword is "COMPD_CS" or "COMPOUNDCRS" or "BOUNDCRS" or "SOURCECRS" && node.Inner.Count > 0
                    ? node.Inner[0]
                    : throw ReferenceSystem.Unknown(
                        $"\"{node.Name}\"",
                        $"its kind is {node.Keyword}, neither geographic nor projected.",
                        where
                    );
        }

        throw ReferenceSystem.Unknown($"\"{node.Name}\"", "it is wrapped too often.", where);
    }

    private static ReferenceSystem System(WellKnownTextNode node, string where)
    {
        if (ReferenceSystem.Find(node.EpsgCode()) is { } coded)
        {
            return coded;
        }

        bool projected = node.Keyword.StartsWith("PROJ", StringComparison.Ordinal);
        WellKnownTextNode geographic = projected
            ? node.Child("GEOGCS", "BASEGEOGCRS", "BASEGEODCRS")
                ?? throw ReferenceSystem.Unknown($"\"{node.Name}\"", "it does not say its geographic system.", where)
            : node;
        ReferenceDatum datum = ReferenceDatumReader.Read(geographic, where);
        if (!projected)
        {
            return ReferenceSystem.From(node.Name, datum, null);
        }

        try
        {
            return ReferenceSystem.From(node.Name, datum, Parameters(node, geographic, where));
        }
        catch (ArgumentException fault)
        {
            throw ReferenceSystem.Unknown(
                $"\"{node.Name}\"",
                "its projection parameters define no projection.",
                where,
                fault
            );
        }
    }

    private static ProjectionParameters Parameters(WellKnownTextNode node, WellKnownTextNode geographic, string where)
    {
        // Version 2 keeps method and parameters in the conversion, version 1 beside the units.
        WellKnownTextNode holder = node.Child("CONVERSION") ?? node;
        string method = holder.Child("PROJECTION", "METHOD")?.Name ?? "";
        WellKnownTextNode? length = node.Child("UNIT", "LENGTHUNIT") ?? node.Child("AXIS")?.Child("LENGTHUNIT", "UNIT");
        if (length is { Numbers.Count: > 0 } && Math.Abs(length.Numbers[0] - 1) > 1e-9)
        {
            throw ReferenceSystem.Unknown($"\"{node.Name}\"", $"its unit is {length.Name}, not the metre.", where);
        }

        Dictionary<string, double> given = [];
        foreach (
            WellKnownTextNode parameter in holder.Inner.Where(one =>
                one.Keyword == "PARAMETER" && one.Numbers.Count > 0
            )
        )
        {
            ProjectionWords.CheckUnit(parameter, geographic, node.Name, where);
            given[ProjectionWords.Plain(parameter.Name)] = parameter.Numbers[0];
        }

        bool onSphere =
            node.Child("EXTENSION") is { Texts.Count: > 1 } extension
            && extension.Texts[1].Contains("+a=6378137", StringComparison.Ordinal)
            && extension.Texts[1].Contains("+b=6378137", StringComparison.Ordinal);
        return ProjectionWords.Parameters(method, given, onSphere, node.Name, where);
    }

    internal static bool IsDegree(double radiansPerUnit) => Math.Abs((radiansPerUnit / RadiansPerDegree) - 1) < 1e-6;
}
