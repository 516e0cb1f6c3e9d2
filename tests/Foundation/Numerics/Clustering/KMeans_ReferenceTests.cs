using System.Text.Json;
using Hillrow.Numerics.Clustering;
using Hillrow.Numerics.Statistics;
using Hillrow.TestSupport;
using Xunit;

namespace Hillrow.Numerics.Tests.Clustering;

public sealed class KMeans_ReferenceTests
{
    [Fact]
    public void FromCentres_EveryCase_HoldsWithinTolerance()
    {
        CheckBook book = CheckBook.Open("clustering", "kmeans.json");
        double[][] iris = [.. book.Common.GetProperty("iris").EnumerateArray().Select(Numbers)];
        CheckTally tally = new();
        foreach (CheckCase check in book.Cases)
        {
            double[][] rows = check.In.TryGetProperty("points", out JsonElement points)
                ? [.. points.EnumerateArray().Select(Numbers)]
                : iris;
            if (check.In.TryGetProperty("data", out JsonElement data) && data.GetString()!.Contains("z-scores"))
            {
                rows = Scaled(iris);
            }

            double[] start =
            [
                .. check.In.GetProperty("start_rows_0based").EnumerateArray().SelectMany(row => rows[row.GetInt32()]),
            ];
            KMeansResult result = KMeans.FromCentres([.. rows.SelectMany(row => row)], rows[0].Length, start);
            double[] centres = [.. check.Out.GetProperty("centres").EnumerateArray().SelectMany(Numbers)];
            for (int i = 0; i < centres.Length; i++)
            {
                tally.Compare(check.Id, $"centre {i}", result.Centres[i], centres[i], 1e-9);
            }

            double total = check.Out.GetProperty("total_within_ss").GetDouble();
            tally.Compare(check.Id, "total within", result.TotalWithinSquares, total, 0, 1e-9);
            if (check.Out.TryGetProperty("between_ss", out JsonElement between))
            {
                tally.Compare(check.Id, "between", result.BetweenSquares, between.GetDouble(), 0, 1e-9);
            }

            int[] labels = [.. Numbers(check.Out.GetProperty("labels")).Select(label => (int)label)];
            tally.IsTrue(check.Id, "labels", labels.SequenceEqual(result.Labels));
        }

        Assert.True(tally.Failures.Count == 0, tally.Report());
    }

    [Fact]
    public void Cluster_SameSeed_FindsThreeSeparateHeapsAgain()
    {
        SplittableRandom random = new(3);
        double[] points =
        [
            .. Enumerable
                .Range(0, 300)
                .SelectMany(i => new[] { (10 * (i % 3)) + random.NextGaussian(), random.NextGaussian() }),
        ];
        KMeansResult first = KMeans.Cluster(points, 2, 3, seed: 8);
        Assert.Equal(first.Labels, KMeans.Cluster(points, 2, 3, seed: 8).Labels);
        Assert.Equal(3, Enumerable.Range(0, 300).Select(i => (i % 3, first.Labels[i])).Distinct().Count());
    }

    private static double[][] Scaled(double[][] rows)
    {
        UnivariateSummary[] summaries =
        [
            .. Enumerable.Range(0, 4).Select(column => UnivariateSummary.Of(rows.Select(row => row[column]).ToArray())),
        ];
        return
        [
            .. rows.Select(row =>
                row.Select((value, column) => (value - summaries[column].Mean) / summaries[column].StandardDeviation)
                    .ToArray()
            ),
        ];
    }

    private static double[] Numbers(JsonElement element) => [.. element.EnumerateArray().Select(e => e.GetDouble())];
}
