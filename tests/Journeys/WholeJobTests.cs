using System.Text.Json;
using Hillrow.App;
using Hillrow.Checks;
using Xunit;

namespace Hillrow.Journeys;

/// <summary>The whole job, from an invented estate to the grower's page, as a newcomer does it.</summary>
[Trait("Pace", "long")]
public sealed class WholeJobTests : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("hillrow-journey-").FullName;

    public void Dispose()
    {
        // Outputs are read-only files; their folders are not.
        Directory.Delete(folder, recursive: true);
    }

    [Fact]
    public void Demo_ThenRunStatusAndWhy_TellOneStory()
    {
        Answer demo = Run("demo", folder, "--hectares", "0.4", "--captures", "12", "--json");
        Assert.True(demo.Code == 0, demo.Error);
        string estate = demo.Result.GetProperty("estate").GetString()!;
        string report = demo.Result.GetProperty("report").GetString()!;
        Assert.Equal(Path.Combine(estate, "handover", "report.html"), report);

        (int count, IReadOnlyList<string> missing) = ReportNumbers.Check(report, Path.Combine(estate, "estate.gpkg"));
        Assert.Empty(missing);
        Assert.True(count > 20, $"only {count} numbers on the page");

        Answer again = Run("run", estate, "--json");
        Assert.Equal(0, again.Code);
        Assert.All(
            again.Result.GetProperty("steps").EnumerateArray(),
            step => Assert.Equal("upToDate", step.GetProperty("end").GetString())
        );

        JsonElement status = Run("status", estate, "--json").Result;
        Assert.Equal(2, status.GetProperty("surveys").GetArrayLength());
        Assert.All(
            status.GetProperty("steps").EnumerateArray(),
            step =>
            {
                Assert.Equal("nothing", step.GetProperty("need").GetString());
                string state = step.GetProperty("state").GetString()!;
                Assert.True(state is "done" or "degraded", state);
                // Nothing degraded travels on unmarked: it says why.
                Assert.Equal(state == "degraded", step.GetProperty("reasons").GetArrayLength() > 0);
            }
        );

        JsonElement why = Run("why", "report", "--estate", estate, "--json").Result.GetProperty("records")[0];
        Assert.Contains(
            why.GetProperty("inputs").EnumerateArray(),
            input => input.GetProperty("name").GetString() == "findings"
        );

        string truth = demo.Result.GetProperty("truth").GetString()!;
        Assert.DoesNotContain(
            Directory.EnumerateFiles(estate, "*", SearchOption.AllDirectories),
            file =>
                Path.GetExtension(file) is ".json" or ".toml" or ".html"
                && File.ReadAllText(file).Contains(truth, StringComparison.Ordinal)
        );
    }

    private static Answer Run(params string[] args)
    {
        using StringWriter output = new();
        using StringWriter error = new();
        int code = CommandLine.Run(args, output, error, TestContext.Current.CancellationToken);
        return new Answer(code, output.ToString(), error.ToString());
    }

    private sealed record Answer(int Code, string Output, string Error)
    {
        public JsonElement Result => JsonDocument.Parse(Output.TrimEnd().Split('\n')[^1]).RootElement;
    }
}
