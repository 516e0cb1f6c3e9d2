using Hillrow.App;

namespace Hillrow.Journeys;

/// <summary>A small modelled estate and the card of one short flight over it, made once for many tests; never changed.</summary>
public sealed class FlownEstate : IDisposable
{
    private const string Day = "2026-04-12";
    private readonly string folder = Directory.CreateTempSubdirectory("hillrow-flown-").FullName;

    public FlownEstate()
    {
        Must("rehearse", "estate", Estate, "--hectares", "0.3", "--dates", Day);
        Must("rehearse", "fly", Estate, "--captures", "4", "--height", "40", "--rays", "1", "--date", Day);
    }

    public string Estate => Path.Combine(folder, "estate");

    /// <summary>Pictures of the panel before and after, and of the crop between.</summary>
    public string Card => Path.Combine(folder, "estate-cards", Day);

    public void Dispose() => Directory.Delete(folder, recursive: true);

    private static void Must(params string[] args)
    {
        using StringWriter output = new();
        using StringWriter error = new();
        if (CommandLine.Run(args, output, error) != 0)
        {
            throw new InvalidOperationException($"{string.Join(' ', args)}: {error}");
        }
    }
}
