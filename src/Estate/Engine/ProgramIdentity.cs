using System.Reflection;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using System.Text;
using Microsoft.Data.Sqlite;

namespace Hillrow.Estate;

/// <summary>
/// What of the program and the machine can change a result: part of every fingerprint, told by <c>why</c>.
/// </summary>
/// <param name="Program">Version and a digest of the compiled rooms, so that any change of code counts.</param>
/// <param name="Runtime">.NET's version.</param>
/// <param name="Processor">Class of processor: architecture and widest vector unit, which order sums differently.</param>
/// <param name="Libraries">Native libraries with their versions, "name version", sorted.</param>
public sealed record ProgramIdentity(string Program, string Runtime, string Processor, IReadOnlyList<string> Libraries)
{
    /// <summary>This program on this machine.</summary>
    /// <param name="nativeLibraries">"name version" of each native library besides SQLite that has a hand in results.</param>
    public static ProgramIdentity Current(params IReadOnlyList<string> nativeLibraries)
    {
        using SqliteConnection connection = new("Data Source=:memory:");
        List<string> libraries = [.. nativeLibraries, $"sqlite {connection.ServerVersion}"];
        libraries.Sort(StringComparer.Ordinal);
        return new ProgramIdentity(
            $"hillrow {VersionOf(typeof(ProgramIdentity).Assembly)} ({DigestOfRooms()})",
            RuntimeInformation.FrameworkDescription,
            ProcessorClass(),
            libraries
        );
    }

    private static string VersionOf(Assembly assembly) => assembly.GetName().Version?.ToString(3) ?? "0";

    private static string ProcessorClass()
    {
        int widest =
            Vector512.IsHardwareAccelerated ? 512
            : Vector256.IsHardwareAccelerated ? 256
            : Vector128.IsHardwareAccelerated ? 128
            : 0;
        return FormattableString.Invariant(
            $"{RuntimeInformation.ProcessArchitecture.ToString().ToLowerInvariant()}, {widest}-bit vectors"
        );
    }

    /// <summary>
    /// The compiler writes into each assembly an identity that depends on its source alone (deterministic builds).
    /// The app's own assembly is left out: how a command is worded changes no result.
    /// </summary>
    private static string DigestOfRooms()
    {
        SortedDictionary<string, string> rooms = new(StringComparer.Ordinal);
        Queue<Assembly> open = new([typeof(ProgramIdentity).Assembly]);
        while (open.TryDequeue(out Assembly? assembly))
        {
            string name = assembly.GetName().Name!;
            if (rooms.TryAdd(name, assembly.ManifestModule.ModuleVersionId.ToString("N")))
            {
                foreach (AssemblyName reference in assembly.GetReferencedAssemblies())
                {
                    if (reference.Name!.StartsWith("Hillrow.", StringComparison.Ordinal))
                    {
                        open.Enqueue(Assembly.Load(reference));
                    }
                }
            }
        }

        StringBuilder text = new();
        foreach ((string name, string identity) in rooms)
        {
            text.Append(name).Append(' ').Append(identity).Append('\n');
        }

        return ContentHashes.OfText(text.ToString())[..12];
    }
}
