using System.CommandLine;
using System.CommandLine.Help;
using System.CommandLine.Parsing;
using Hillrow.App.Commands;
using Hillrow.Estate;
using Hillrow.Numerics;

namespace Hillrow.App;

/// <summary>Understands a command line, runs its command, and turns whatever happens into an exit code and one line.</summary>
public static class CommandLine
{
    /// <param name="args">As the shell gives them.</param>
    /// <param name="output">Results.</param>
    /// <param name="error">Warnings, progress and errors.</param>
    /// <param name="cancellation">Asked for by Ctrl-C.</param>
    /// <returns>See <see cref="ExitCodes"/>.</returns>
    public static int Run(
        IReadOnlyList<string> args,
        TextWriter output,
        TextWriter error,
        CancellationToken cancellation = default
    )
    {
        bool json = args.Contains("--json");
        CommandOutput speech = new(output, error, json);
        try
        {
            RootCommand root = Root(speech, cancellation);
            ParseResult parsed = root.Parse(args.Count == 0 ? ["--help"] : args);
            if (parsed.Errors.Count > 0)
            {
                throw Misunderstood(parsed);
            }

            return Invoke(parsed, output, error);
        }
        catch (InputProblemException problem)
        {
            return Refuse(problem, speech);
        }
        catch (Exception fault) when (DurableFiles.IsForbidden(fault))
        {
            return Refuse(
                new InputProblemException(
                    "this folder",
                    $"may not be written or read by you ({fault.Message.ReplaceLineEndings(" ").TrimEnd('.')}).",
                    "Give yourself the right to, or work on a copy on a disk of your own; what was there before is kept.",
                    fault
                ),
                speech
            );
        }
        catch (OperationCanceledException)
        {
            error.WriteLine(Messages.Stopped);
            speech.Result(new { ok = false, stopped = true });
            return ExitCodes.Stopped;
        }
#pragma warning disable CA1031 // The last door: a person never sees a stack trace.
        catch (Exception fault)
#pragma warning restore CA1031
        {
            string line = Messages.OurFault(fault);
            error.WriteLine(line);
            speech.Result(new { ok = false, fault = line });
            return ExitCodes.OurFault;
        }
    }

    private static int Refuse(InputProblemException problem, CommandOutput speech)
    {
        speech.Error.WriteLine(problem.Message);
        speech.Result(
            new
            {
                ok = false,
                error = new
                {
                    problem.Where,
                    problem.Problem,
                    problem.Remedy,
                },
            }
        );
        return ExitCodes.BadInput;
    }

    private static int Invoke(ParseResult parsed, TextWriter output, TextWriter error)
    {
        // The library names the program by its file (hillrow-app); people start it as hillrow.
        bool help = parsed.Action is HelpAction;
        using StringWriter page = new();
        int code = parsed.Invoke(
            new InvocationConfiguration
            {
                Output = help ? page : output,
                Error = error,
                EnableDefaultExceptionHandler = false,
                ProcessTerminationTimeout = null,
            }
        );
        if (help)
        {
            string text = page.ToString();
            output.WriteLine(text.Replace(RootCommand.ExecutableName, "hillrow", StringComparison.Ordinal).TrimEnd());
        }

        return code;
    }

    private static RootCommand Root(CommandOutput speech, CancellationToken cancellation)
    {
        Option<bool> json = new("--json")
        {
            Description = "Print one JSON object as the last line of standard output.",
            Recursive = true,
        };
        RootCommand root = new(Messages.Purpose) { json };
        foreach (Command command in AllCommands.Create(speech, cancellation))
        {
            root.Subcommands.Add(command);
        }

        return root;
    }

    private static InputProblemException Misunderstood(ParseResult parsed)
    {
        Command command = parsed.CommandResult.Command;
        string name = command is RootCommand ? "hillrow" : $"hillrow {PathOf(command)}";
        string help = $"See `{name} --help`.";
        if (parsed.UnmatchedTokens.Count > 0)
        {
            string token = parsed.UnmatchedTokens[0];
            IEnumerable<string> words = token.StartsWith('-')
                ? OptionsOf(command).Select(option => option.Name)
                : command.Subcommands.Select(one => one.Name);
            string? near = NearestWord.To(token, words);
            return new InputProblemException(
                name,
                $"does not know \"{token}\".",
                near is null ? help : $"Did you mean {near}? {help}"
            );
        }

        string problem = string.Join(" ", parsed.Errors.Select(one => one.Message).Distinct());
        return new InputProblemException(name, problem.EndsWith('.') ? problem : problem + ".", help);
    }

    private static IEnumerable<Option> OptionsOf(Command command)
    {
        for (Symbol? at = command; at is Command one; at = one.Parents.FirstOrDefault())
        {
            foreach (Option option in one.Options)
            {
                yield return option;
            }
        }
    }

    private static string PathOf(Command command)
    {
        List<string> names = [];
        for (Symbol? at = command; at is Command and not RootCommand; at = at.Parents.FirstOrDefault())
        {
            names.Insert(0, at.Name);
        }

        return string.Join(' ', names);
    }
}
