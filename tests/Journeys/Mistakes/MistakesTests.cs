using System.Runtime.Versioning;
using System.Security.Cryptography;
using Xunit;

namespace Hillrow.Journeys;

/// <summary>Ten things that go wrong in an office or beside a field: each ends in one line that helps, and nothing is lost.</summary>
[Trait("Pace", "long")]
[UnsupportedOSPlatform("windows")]
public sealed class MistakesTests : IClassFixture<FlownEstate>, IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("hillrow-mistakes-").FullName;
    private readonly FlownEstate flown;
    private readonly string estate;
    private readonly string cardBefore;

    public MistakesTests(FlownEstate flown)
    {
        this.flown = flown;
        estate = Path.Combine(folder, "estate");
        Copy(flown.Estate, estate);
        cardBefore = Contents(flown.Card);
    }

    /// <summary>Whatever was done wrong, the card is as it was.</summary>
    public void Dispose()
    {
        Assert.Equal(cardBefore, Contents(flown.Card));
        Directory.Delete(folder, recursive: true);
    }

    [Fact]
    public void WrongFolder()
    {
        string before = Contents(estate);
        Said.By("run", flown.Card).IsRefusedInOneLine("is no estate", "hillrow new");
        Said.By("intake", estate, Path.Combine(folder, "nowhere"))
            .IsRefusedInOneLine("does not exist", "Name the folder");
        Said.By("intake", estate, estate).IsRefusedInOneLine("tells its time", "--date");
        Assert.Equal(before, Contents(estate));
    }

    [Fact]
    public void WrongReferenceSystem()
    {
        // Metres of a zone 12° to the west, said to be so.
        string outline = Outline("""[[422000,8420000],[422100,8420000],[422100,8420100],[422000,8420000]]""", "32719");
        string before = Contents(estate);
        Said.By("block", "import", estate, outline)
            .IsRefusedInOneLine("far from the estate's zone", "check its coordinate system");
        Assert.Equal(before, Contents(estate));
    }

    [Fact]
    public void SwappedAxes()
    {
        string outline = Outline("""[[-14.237,-57.487],[-14.237,-57.486],[-14.236,-57.486],[-14.237,-57.487]]""", null);
        string before = Contents(estate);
        Said.By("block", "import", estate, outline)
            .IsRefusedInOneLine("latitude and longitude are swapped", "export it again with longitude first");
        Assert.Equal(before, Contents(estate));
    }

    [Fact]
    public void NoTerrain()
    {
        foreach (string tile in Directory.GetFiles(Path.Combine(estate, "terrain")))
        {
            File.Delete(tile);
        }

        Said.By("intake", estate, flown.Card, "--link").IsDoneWithAWarning("no terrain tile covers", "Add a GeoTIFF");
        string captures = Contents(Path.Combine(estate, "surveys"));
        Said.By("run", estate).IsRefusedInOneLine("placing captures", "terrain", "Add");
        Assert.All(
            captures.Split('\n'),
            line => Assert.Contains(line, Contents(Path.Combine(estate, "surveys")), StringComparison.Ordinal)
        );
    }

    [Fact]
    public void NoPanel()
    {
        string card = Path.Combine(folder, "card");
        Copy(flown.Card, card);
        string[] first = [.. Triggers(card).Take(1).Concat(Triggers(card).TakeLast(1)).SelectMany(group => group)];
        foreach (string picture in first)
        {
            File.Delete(picture);
        }

        Said.By("intake", estate, card, "--link").IsDoneWithAWarning("no panel picture");
        Assert.Equal(Triggers(flown.Card).Length - 2, Triggers(card).Length);
    }

    [Fact]
    public void DiskTakesNoMore()
    {
        // Two megabytes a file: none of the card's pictures fits, the estate's own files do.
        const string Scene = "trap '' XFSZ; ulimit -f 2000; exec";
        Said.InScene(Scene, "intake", estate, flown.Card)
            .IsRefusedInOneLine("the disk takes no file of that size", "do it again");
        Said.By("status", estate).HasEndedWell();
        Said.By("intake", estate, flown.Card).HasEndedWell();
        foreach (string picture in Directory.EnumerateFiles(flown.Card, "*.tif", SearchOption.AllDirectories))
        {
            string brought = Directory
                .EnumerateFiles(Path.Combine(estate, "surveys"), Path.GetFileName(picture), SearchOption.AllDirectories)
                .Single();
            Assert.Equal(Digest(picture), Digest(brought));
        }
    }

    [Fact]
    public void FolderThatMayNotBeWritten()
    {
        // The superuser may write everywhere: then the program is started as nobody.
        Said.By("intake", estate, flown.Card).HasEndedWell();
        string asNobody =
            Environment.UserName == "root" ? "exec setpriv --reuid=65534 --regid=65534 --clear-groups" : "exec";
        OpenToAll(folder);
        Writable(estate, false);
        try
        {
            string before = Contents(estate);
            Said.InScene(asNobody, "run", estate)
                .IsRefusedInOneLine("may not be written or read by you", "Give yourself the right");
            Said.InScene(asNobody, "log", "add", estate, "--block", "Cumbre", "--kind", "spray", "--day", "2026-05-02")
                .IsRefusedInOneLine("may not be written or read by you");
            Said.InScene(
                    asNobody,
                    "new",
                    Path.Combine(estate, "..", "estate", "surveys", "x"),
                    "--name",
                    "X",
                    "--at",
                    "1,1"
                )
                .IsRefusedInOneLine("Name a folder");
            Assert.Equal(before, Contents(estate));
        }
        finally
        {
            Writable(estate, true);
        }
    }

    [Fact]
    public void HalfACardThenTheWhole()
    {
        string half = Path.Combine(folder, "card");
        Copy(flown.Card, half);
        string[][] triggers = Triggers(half);
        foreach (string picture in triggers.Skip(triggers.Length / 2).SelectMany(group => group))
        {
            File.Delete(picture);
        }

        Said.By("intake", estate, half).HasEndedWell();
        Said.By("intake", estate, flown.Card)
            .IsDoneWithAWarning("is in the estate already in part", "new files were added");
        Assert.Equal(
            Directory.EnumerateFiles(flown.Card, "*.tif", SearchOption.AllDirectories).Select(Digest).Order(),
            Directory
                .EnumerateFiles(Path.Combine(estate, "surveys"), "*.tif", SearchOption.AllDirectories)
                .Select(Digest)
                .Order()
        );
    }

    [Fact]
    public void PicturesCutShortAndABandMissing()
    {
        string card = Path.Combine(folder, "card");
        Copy(flown.Card, card);
        string[] one = Triggers(card)[1];
        File.Delete(one[2]);
        File.WriteAllBytes(one[0], File.ReadAllBytes(one[0])[..20_000]);
        Said told = Said.By("intake", estate, card, "--link");
        told.IsDoneWithAWarning("cut short or unreadable", "1");
        told.IsDoneWithAWarning("a band missing", "1");
    }

    [Fact]
    public void UnknownCamera()
    {
        foreach (string profile in Directory.GetFiles(Path.Combine(estate, "cameras")))
        {
            File.Delete(profile);
        }

        string before = Contents(estate);
        Said.By("intake", estate, flown.Card).IsRefusedInOneLine("has no camera profile", "--camera FILE");
        Said.By("intake", estate, flown.Card, "--camera", "condor").IsRefusedInOneLine("neither a file nor a profile");
        Assert.Equal(before, Contents(estate));
    }

    [Fact]
    public void TwoEstatesInOne()
    {
        string before = Contents(estate);
        Said.By("new", Path.Combine(estate, "other"), "--name", "Other", "--zone", "21S")
            .IsRefusedInOneLine("lies inside the estate", "Name a folder outside it");
        Said.By("new", estate, "--name", "Other", "--zone", "21S").IsRefusedInOneLine("is an estate already");
        Assert.Equal(before, Contents(estate));

        // In the same zone, 30 km from where the card was flown.
        string far = Path.Combine(folder, "far");
        Said.By("new", far, "--name", "Far", "--zone", "21S").HasEndedWell();
        Said.By(
                "block",
                "add",
                far,
                "Far",
                "--corner",
                "-13.96,-57.49",
                "--corner",
                "-13.96,-57.48",
                "--corner",
                "-13.95,-57.48"
            )
            .HasEndedWell();
        Copy(Path.Combine(estate, "cameras"), Path.Combine(far, "cameras"));
        before = Contents(far);
        Said.By("intake", far, flown.Card)
            .IsRefusedInOneLine("was flown at", "km from the estate's nearest block", "nothing was brought");
        Assert.Equal(before, Contents(far));
    }

    private string Outline(string ring, string? epsg)
    {
        string file = Path.Combine(folder, "outline.geojson");
        string system = epsg is null
            ? ""
            : "\"crs\":{\"type\":\"name\",\"properties\":{\"name\":\"urn:ogc:def:crs:EPSG::" + epsg + "\"}},";
        File.WriteAllText(
            file,
            "{\"type\":\"FeatureCollection\","
                + system
                + "\"features\":[{\"type\":\"Feature\",\"properties\":{\"name\":\"S\"},\"geometry\":{\"type\":\"Polygon\",\"coordinates\":["
                + ring
                + "]}}]}"
        );
        return file;
    }

    /// <summary>The files of each trigger, in order.</summary>
    private static string[][] Triggers(string card) =>
        [
            .. Directory
                .EnumerateFiles(card, "*.tif", SearchOption.AllDirectories)
                .Order(StringComparer.Ordinal)
                .GroupBy(file => Path.GetFileNameWithoutExtension(file)[..^2])
                .Select(group => group.ToArray()),
        ];

    /// <summary>Every file's path and digest; the program's own memories and locks aside.</summary>
    private static string Contents(string root) =>
        string.Join(
            '\n',
            Directory
                .EnumerateFiles(root, "*", SearchOption.AllDirectories)
                .Where(file =>
                    !file.Contains("/.hillrow/", StringComparison.Ordinal) && Path.GetFileName(file) != "log"
                )
                .Order(StringComparer.Ordinal)
                .Select(file => $"{Path.GetRelativePath(root, file)} {Digest(file)}")
        );

    private static string Digest(string file) => Convert.ToHexString(SHA256.HashData(File.ReadAllBytes(file)));

    private static void Copy(string from, string to)
    {
        Directory.CreateDirectory(to);
        foreach (string file in Directory.EnumerateFiles(from, "*", SearchOption.AllDirectories))
        {
            string target = Path.Combine(to, Path.GetRelativePath(from, file));
            Directory.CreateDirectory(Path.GetDirectoryName(target)!);
            File.Copy(file, target, overwrite: true);
        }

        foreach (string child in Directory.EnumerateDirectories(from, "*", SearchOption.AllDirectories))
        {
            Directory.CreateDirectory(Path.Combine(to, Path.GetRelativePath(from, child)));
        }
    }

    private static void OpenToAll(string path) =>
        File.SetUnixFileMode(path, File.GetUnixFileMode(path) | UnixFileMode.OtherRead | UnixFileMode.OtherExecute);

    private static void Writable(string root, bool writable)
    {
        const UnixFileMode Write = UnixFileMode.UserWrite | UnixFileMode.GroupWrite | UnixFileMode.OtherWrite;
        foreach (
            string entry in Directory.EnumerateFileSystemEntries(root, "*", SearchOption.AllDirectories).Append(root)
        )
        {
            UnixFileMode mode = File.GetUnixFileMode(entry);
            File.SetUnixFileMode(entry, writable ? mode | UnixFileMode.UserWrite : mode & ~Write);
        }
    }
}
