using Hillrow.Numerics;
using Hillrow.Planning;
using Hillrow.Sheets;

namespace Hillrow.Estate;

/// <summary>Where plans are kept: flights/plans/NAME in the estate.</summary>
public static class PlanFolder
{
    /// <summary>Writes a plan's files; an earlier plan of the same name is replaced, plan.json last.</summary>
    /// <returns>The folder.</returns>
    /// <exception cref="InputProblemException">The name cannot be a folder's name, or the disk refuses.</exception>
    public static string Write(EstateFolder estate, PlanningResult plan, string name, Paper paper)
    {
        ArgumentNullException.ThrowIfNull(plan);
        if (name.Length is 0 or > 60 || !name.All(letter => char.IsAsciiLetterOrDigit(letter) || letter is '-' or '_'))
        {
            throw new InputProblemException(
                "--name",
                $"\"{name}\" cannot name a plan.",
                "Use letters, digits, - and _, such as 2026-03-14-first."
            );
        }

        string folder = Path.Combine(PlanInputs.FlightsFolder(estate), "plans", name);
        try
        {
            DurableFiles.CreateFolder(folder);
            foreach ((string file, byte[] bytes) in PlanFiles.Of(plan, name, estate.Settings.Name, paper))
            {
                DurableFiles.WriteAllBytes(Path.Combine(folder, file), bytes);
            }

            string profiles = PlanInputs.FlightsFolder(estate);
            if (Directory.GetFiles(profiles, "*.toml").Length == 0)
            {
                // So that a person sees what was assumed, and where to put it right.
                DurableFiles.WriteAllText(Path.Combine(profiles, "aircraft.toml"), AircraftToml.Cautious + "\n");
            }

            return folder;
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            throw new InputProblemException(
                folder,
                $"cannot be written ({fault.Message.ReplaceLineEndings(" ").TrimEnd('.')}).",
                "Check the disk and its rights.",
                fault
            );
        }
    }
}
