using System.CommandLine;
using System.Globalization;
using Hillrow.Imaging;
using Hillrow.Intake;
using Hillrow.Numerics;

namespace Hillrow.App.Commands;

/// <summary>Finds a lens from pictures of a chess board, for a band of a camera profile.</summary>
internal static class CameraLensCommand
{
    private const double UsualSquareMillimetres = 25;
    private const int LargestSide = 100;

    public static Command Create(CommandOutput speech, CancellationToken cancellation)
    {
        Argument<string[]> pictures = new("PICTURE")
        {
            Description =
                "Pictures of a chess board by one lens, from all sides and over the whole frame; or their folder.",
            Arity = ArgumentArity.OneOrMore,
        };
        Option<string> corners = new("--corners")
        {
            Description = "Inner corners of the board, where four squares meet: 9x6 for 10 × 7 squares.",
            HelpName = "ACROSSxDOWN",
            Required = true,
        };
        Option<string?> profile = Given.Text(
            "--profile",
            "Camera profile to put the lens into; a new one is written.",
            "FILE"
        );
        Option<string?> band = Given.Text("--band", "The profile's band that this lens is of.", "NAME");
        Option<string?> output = Given.Text("--output", "File to write; lens.toml if not said.", "FILE");
        Command command = new("lens", "Find a lens from pictures of a chess board, and how sure it is.")
        {
            pictures,
            corners,
            profile,
            band,
            output,
        };
        command.SetAction(parsed =>
        {
            ChessBoard board = Board(parsed.GetRequiredValue(corners));
            CameraProfile? camera = parsed.GetValue(profile) is { } path ? CameraProfile.Load(path) : null;
            CameraBand? target = Target(camera, parsed.GetValue(profile), parsed.GetValue(band));
            LearnedLens learned = LensLearning.Run(
                parsed.GetRequiredValue(pictures),
                board,
                target?.Plane,
                new PlainProgress(speech),
                cancellation
            );
            string file = parsed.GetValue(output) ?? "lens.toml";
            ProfileFile.Write(file, camera is null ? learned.ToToml() : With(camera, target!, learned.Lens).ToToml());
            Tell(speech, learned);
            speech.Line($"The {(camera is null ? "lens" : "profile")}: {file}");
            speech.Result(
                new
                {
                    ok = true,
                    file,
                    sure = learned.Doubts.Count == 0,
                    columns = learned.Lens.Columns,
                    rows = learned.Lens.Rows,
                    values = learned
                        .Lens.ParameterNames.Zip(learned.Lens.Parameters)
                        .ToDictionary(pair => pair.First, pair => pair.Second),
                    sigmas = learned
                        .Lens.ParameterNames.Zip(learned.Sigmas)
                        .ToDictionary(pair => pair.First, pair => pair.Second),
                    learned.RmsPixels,
                    learned.ReachShare,
                    learned.Used,
                    learned.Pictures,
                    learned.Doubts,
                }
            );
            return ExitCodes.Done;
        });
        return command;
    }

    private static ChessBoard Board(string text)
    {
        string[] sides = text.ToLowerInvariant().Split('x', '×');
        return
            sides.Length == 2
            && int.TryParse(sides[0], NumberStyles.None, CultureInfo.InvariantCulture, out int across)
            && int.TryParse(sides[1], NumberStyles.None, CultureInfo.InvariantCulture, out int down)
            && across is >= 3 and <= LargestSide
            && down is >= 3 and <= LargestSide
            ? new ChessBoard(across, down, UsualSquareMillimetres)
            : throw new InputProblemException(
                "--corners",
                $"\"{text}\" is no board.",
                $"Write the inner corners along both sides, 3 to {LargestSide} each: 9x6."
            );
    }

    private static CameraBand? Target(CameraProfile? camera, string? file, string? band)
    {
        if (camera is null)
        {
            return band is null
                ? null
                : throw new InputProblemException(
                    "--band",
                    "needs a profile that has this band.",
                    "Name it with --profile, or leave --band out to write the lens alone."
                );
        }

        string names = string.Join(", ", camera.Bands.Select(one => one.Name));
        return camera.Bands.FirstOrDefault(one => one.Name == band)
            ?? throw new InputProblemException(
                "--band",
                band is null ? $"is needed to put a lens into {file}." : $"\"{band}\" is no band of {file}.",
                $"There are: {names}."
            );
    }

    private static CameraProfile With(CameraProfile camera, CameraBand target, BrownConradyLens lens) =>
        lens.Rows == target.Sensor.Rows && lens.Columns == target.Sensor.Columns
            ? camera with
            {
                Bands = [.. camera.Bands.Select(band => band == target ? band with { Lens = lens } : band)],
            }
            : throw new InputProblemException(
                $"band {target.Name}",
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"has a sensor of {target.Sensor.Columns} × {target.Sensor.Rows} pixels, but the pictures are {lens.Columns} × {lens.Rows}."
                ),
                "Give this band's own pictures, untrimmed and not turned."
            );

    private static void Tell(CommandOutput speech, LearnedLens learned)
    {
        static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
        foreach (LensPicture picture in learned.Pictures)
        {
            speech.Line(
                picture.RmsPixels is { } rms
                    ? Text($"  {picture.File}: {rms:0.00} px")
                    : $"  {picture.File}: {picture.Why}"
            );
        }

        BrownConradyValues values = learned.Lens.Values;
        IReadOnlyList<double> sigmas = learned.Sigmas;
        speech.Line(
            Text(
                $"Lens from {learned.Used} of {learned.Pictures.Count} pictures: corners lie {learned.RmsPixels:0.000} px (rms) from it, up to {100 * learned.ReachShare:0} % of the way to the frame's corners."
            )
        );
        speech.Line(Text($"  focal length     {values.FocalColumnsPixels:0.00} ± {sigmas[0]:0.00} px"));
        speech.Line(
            Text(
                $"  principal point  {values.PrincipalPoint.Column:0.00} ± {sigmas[2]:0.00}, {values.PrincipalPoint.Row:0.00} ± {sigmas[3]:0.00} px"
            )
        );
        speech.Line(
            Text(
                $"  k1, k2, k3       {values.K1:0.0000} ± {sigmas[4]:0.0000}, {values.K2:0.0000} ± {sigmas[5]:0.0000}, {values.K3:0.0000} ± {sigmas[8]:0.0000}"
            )
        );
        speech.Line(
            Text(
                $"  p1, p2           {values.P1:0.00000} ± {sigmas[6]:0.00000}, {values.P2:0.00000} ± {sigmas[7]:0.00000}"
            )
        );
        foreach (string doubt in learned.Doubts)
        {
            speech.Warning(doubt);
        }
    }
}
