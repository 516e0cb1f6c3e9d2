using System.Diagnostics;

namespace Hillrow.Estate.Tests;

/// <summary>GDAL's own judges of a GeoPackage (Debian's gdal-bin and python3-gdal).</summary>
internal static class GeoPackageValidator
{
    private const string Python = "/usr/bin/python3";

    public static bool Present => File.Exists(Python) && File.Exists("/usr/bin/ogrinfo");

    /// <summary>What the validator says; empty when it has no complaint.</summary>
    public static string Complaints(string path) => Run(Python, "-m", "osgeo_utils.samples.validate_gpkg", path);

    /// <summary>Everything that ogrinfo lists of the file, with its warnings.</summary>
    public static string Listing(string path) => Run("/usr/bin/ogrinfo", "-ro", "-al", path);

    private static string Run(string program, params string[] arguments)
    {
        ProcessStartInfo start = new(program, arguments)
        {
            UseShellExecute = false,
            RedirectStandardOutput = true,
            RedirectStandardError = true,
        };
        using Process process = Process.Start(start)!;
        Task<string> error = process.StandardError.ReadToEndAsync();
        string text = process.StandardOutput.ReadToEnd() + error.Result;
        process.WaitForExit();
        return process.ExitCode == 0 ? text.Trim() : $"exit {process.ExitCode}: {text}";
    }
}
