using Hillrow.Numerics;
using Hillrow.Reconstruction;
using Hillrow.Sight;

namespace Hillrow.Checks;

/// <summary>A flight with something planted that goes wrong in the field.</summary>
/// <param name="Name">Of what is planted.</param>
/// <param name="Flight">Its simulation.</param>
/// <param name="Wrong">Captures with wrong positions.</param>
/// <param name="Parts">Parts of the flight without common ground.</param>
public sealed record SimulatedTrouble(
    string Name,
    SimulatedFlightSettings Flight,
    IReadOnlyList<int> Wrong,
    int Parts = 1
);

/// <summary>What became of it.</summary>
/// <param name="Placed">Captures said to be placed.</param>
/// <param name="Captures">All.</param>
/// <param name="Misplaced">Said to be placed, and the ground below more than five samples from its truth.</param>
/// <param name="Lost">Marked, though 60 of its spots are in two other placed captures.</param>
/// <param name="Unnamed">Wrong positions and separate parts that nothing tells.</param>
/// <param name="WorstGsd">Farthest middle of a placed capture from its truth, ground samples.</param>
/// <param name="Said">Reasons of the outcome.</param>
public sealed record TroubleVerdict(
    int Placed,
    int Captures,
    int Misplaced,
    int Lost,
    int Unnamed,
    double WorstGsd,
    string Said
);

/// <summary>Flights that must be mapped where possible, the rest marked and told.</summary>
public static class SimulatedTroubles
{
    private const double MisplacedGsd = 5;
    private const int EnoughSpots = 60;

    public static IReadOnlyList<SimulatedTrouble> All(ulong seed)
    {
        SimulatedFlightSettings flight = new()
        {
            Seed = seed,
            Lines = 6,
            PerLine = 14,
        };
        int[] run = [.. Enumerable.Range(31, 12)];
        return
        [
            new("hole in coverage", flight with { IsLeftOut = (line, at) => line is 2 or 3 && at is > 4 and < 10 }, []),
            new(
                "water with moving glitter",
                flight with
                {
                    IsWater = (east, north) => (east * east) + ((north - 10) * (north - 10)) < 38 * 38,
                },
                []
            ),
            new(
                "one position 60 m off",
                flight with
                {
                    WrongBy = new Dictionary<int, Vector3D> { [37] = new(45, -40, 5) },
                },
                [37]
            ),
            new(
                "one position in another country",
                flight with
                {
                    WrongBy = new Dictionary<int, Vector3D> { [20] = new(400_000, 900_000, -60_000) },
                },
                [20]
            ),
            new(
                "twelve positions in a row 60 m off",
                flight with
                {
                    WrongBy = run.ToDictionary(index => index, _ => new Vector3D(-35, 50, 0)),
                },
                run
            ),
            new(
                "two parts without common ground",
                flight with
                {
                    IsLeftOut = (line, _) => line is 2 or 3 or 4,
                    Lines = 8,
                },
                [],
                2
            ),
        ];
    }

    public static TroubleVerdict Judge(SimulatedTrouble trouble)
    {
        SimulatedFlight flight = new(trouble.Flight);
        ReconstructionResult result = ReconstructionStage.Run(
            flight.Input,
            new ReconstructionSettings { MeasureSurface = false }
        );
        SurveyGeometry geometry = result.Geometry!;
        Dictionary<string, int> indexOf = geometry
            .Captures.Select((capture, index) => (capture.CaptureId, index))
            .ToDictionary(entry => entry.CaptureId, entry => entry.index);
        int misplaced = 0;
        double worst = 0;
        foreach (SurveyPart part in result.Figures.Parts)
        {
            (Vector3D Truth, Vector3D Ours)[] middles =
            [
                .. part.CaptureIds.Select(id => flight.MiddleOf(geometry, indexOf[id])),
            ];

            // The survey lies as the receiver has it: one shift, turn and scale of each part is no error here.
            SimilarityMove move = SimilarityMove.Fit(
                [.. middles.Select(entry => (entry.Ours, entry.Truth))],
                SimilarityMove.None,
                [20, 3, 1, 0.3]
            );
            foreach ((Vector3D truth, Vector3D ours) in middles)
            {
                double off = (move.Of(ours) - truth).Length / flight.GroundSampleMetres;
                worst = Math.Max(worst, off);
                misplaced += off > MisplacedGsd ? 1 : 0;
            }
        }

        int lost = Enumerable
            .Range(0, geometry.Captures.Count)
            .Count(index =>
                !geometry.Captures[index].Placed
                && flight.CommonSpots(index, other => geometry.Captures[other].Placed) >= EnoughSpots
            );
        string said = string.Join(" ", result.Outcome.Reasons);
        int unnamed =
            trouble.Wrong.Count(index => !IsNamed(result, flight.Captures[index].Id))
            + (result.Figures.Parts.Count != trouble.Parts ? 1 : 0)
            + (trouble.Parts > 1 && !said.Contains("parts", StringComparison.Ordinal) ? 1 : 0);
        return new TroubleVerdict(
            result.Figures.CapturesPlaced,
            result.Figures.Captures,
            misplaced,
            lost,
            unnamed,
            worst,
            said
        );
    }

    private static bool IsNamed(ReconstructionResult result, string capture) =>
        result.Figures.WrongPositions.Any(entry => entry.CaptureId == capture)
        || result.Geometry!.Captures.Any(entry =>
            entry.CaptureId == capture && entry.Reason.Contains("position", StringComparison.Ordinal)
        )
        || result.Outcome.Reasons.Any(reason => reason.Contains(capture, StringComparison.Ordinal));
}
