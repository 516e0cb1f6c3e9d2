using System.Diagnostics;
using System.Security.Cryptography;
using System.Text.Json;

namespace Hillrow.Checks;

/// <summary>GDAL of the Debian packages gdal-bin and python3-gdal as a judge of raster files.</summary>
public static class GdalJudge
{
    // One process reads many files: its start costs more than its work.
    private const string Script = """
        import sys, json, hashlib
        from osgeo import gdal, osr
        from osgeo_utils.samples import validate_cloud_optimized_geotiff as v
        gdal.UseExceptions()
        def look(path):
            said = []
            gdal.PushErrorHandler(lambda level, number, text: said.append(text))
            try:
                warnings, errors, details = v.validate(path, full_check=True)
                ds = gdal.Open(path)
                srs = ds.GetSpatialRef()
                bands = []
                for i in range(1, ds.RasterCount + 1):
                    b = ds.GetRasterBand(i)
                    levels = [b] + [b.GetOverview(k) for k in range(b.GetOverviewCount())]
                    nodata = b.GetNoDataValue()
                    bands.append(dict(type=gdal.GetDataTypeName(b.DataType), nodata=None if nodata is None else repr(nodata),
                        name=b.GetDescription(), unit=b.GetUnitType(), scale=b.GetScale(), offset=b.GetOffset(),
                        hashes=[hashlib.sha256(l.ReadRaster()).hexdigest() for l in levels],
                        sizes=[[l.YSize, l.XSize] for l in levels]))
                result = dict(errors=list(errors), warnings=list(warnings), epsg=srs and srs.GetAuthorityCode('PROJCS'),
                    transform=list(ds.GetGeoTransform()), bands=bands, items=ds.GetMetadata(),
                    vertical=srs and srs.GetAuthorityCode('VERT_CS'), interleave=ds.GetMetadataItem('INTERLEAVE', 'IMAGE_STRUCTURE'))
            except Exception as fault:
                result = dict(errors=[str(fault)])
            gdal.PopErrorHandler()
            result['said'] = said
            return result
        print(json.dumps({p: look(p) for p in sys.stdin.read().split('\n') if p}))
        """;

    private static readonly Lazy<string?> Missing = new(FindMissing);

    /// <summary>Why GDAL cannot judge on this machine, or null when it can.</summary>
    public static string? Absence => Missing.Value;

    /// <summary>What GDAL says of each file, by path: validator's errors and warnings, bands with SHA-256 of each level.</summary>
    public static IReadOnlyDictionary<string, JsonElement> Look(IReadOnlyCollection<string> paths)
    {
        string told = Run("/usr/bin/python3", ["-c", Script], string.Join('\n', paths));
        return JsonDocument
            .Parse(told)
            .RootElement.EnumerateObject()
            .ToDictionary(entry => entry.Name, entry => entry.Value);
    }

    public static string HashOf(ReadOnlySpan<byte> bytes) => Convert.ToHexStringLower(SHA256.HashData(bytes));

    /// <summary>Runs a program to its end and gives its standard output.</summary>
    /// <exception cref="InvalidOperationException">It ended with another code than 0 (with what it said).</exception>
    public static string Run(string program, IReadOnlyList<string> arguments, string input = "")
    {
        ProcessStartInfo start = new(program, arguments)
        {
            UseShellExecute = false,
            RedirectStandardInput = true,
            RedirectStandardOutput = true,
            RedirectStandardError = true,
        };
        // Side files with statistics would change what the next reader sees.
        start.Environment["GDAL_PAM_ENABLED"] = "NO";
        using Process process =
            Process.Start(start) ?? throw new InvalidOperationException($"{program} does not start.");
        Task<string> said = process.StandardError.ReadToEndAsync();
        process.StandardInput.Write(input);
        process.StandardInput.Close();
        string told = process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        return process.ExitCode == 0
            ? told
            : throw new InvalidOperationException($"{program} ended with {process.ExitCode}: {said.Result}");
    }

    private static string? FindMissing()
    {
        try
        {
            Run("gdalinfo", ["--version"]);
            Run("/usr/bin/python3", ["-c", "from osgeo import gdal; import osgeo_utils.samples"]);
            return null;
        }
        catch (Exception fault) when (fault is System.ComponentModel.Win32Exception or InvalidOperationException)
        {
            return $"GDAL is not installed (Debian: apt-get install gdal-bin python3-gdal): {fault.Message}";
        }
    }
}
