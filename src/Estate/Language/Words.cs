namespace Hillrow.Estate;

/// <summary>A language that Hillrow speaks to people.</summary>
public enum Language
{
    English,
    Spanish,
    Portuguese,
}

/// <summary>One text in every language that Hillrow speaks.</summary>
public sealed record Words(string English, string Spanish, string Portuguese)
{
    public string In(Language language) =>
        language switch
        {
            Language.Spanish => Spanish,
            Language.Portuguese => Portuguese,
            _ => English,
        };
}

/// <summary>The two-letter codes (ISO 639-1) by which estate.toml and the command line name a language.</summary>
public static class LanguageCodes
{
    public static IReadOnlyList<string> All { get; } = ["en", "es", "pt"];

    public static string CodeOf(Language language) => All[(int)language];

    /// <summary>The language of a code, or null when Hillrow does not speak it.</summary>
    public static Language? Find(string code) =>
        code switch
        {
            "en" => Language.English,
            "es" => Language.Spanish,
            "pt" => Language.Portuguese,
            _ => null,
        };
}
