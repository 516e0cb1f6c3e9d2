using Hillrow.Handover;
using Hillrow.Imaging;
using Hillrow.Mapping;
using Hillrow.Numerics;

namespace Hillrow.Estate;

/// <summary>Writes a survey for any GIS: maps, layers, styles and a catalogue item, all in open formats.</summary>
public static class ExportWriting
{
    /// <summary>What can be left out: "maps" are large.</summary>
    public static IReadOnlyList<string> Formats { get; } =
    ["geopackage", "geojson", "kml", "gpx", "shapefile", "csv", "maps"];

    /// <param name="estate">Brought up to date.</param>
    /// <param name="survey">Id; null for the last.</param>
    /// <param name="formats">Some of <see cref="Formats"/>; styles and item are always written.</param>
    /// <param name="folder">Where to; null for handover/export-SURVEY.</param>
    /// <param name="cancellation">Stops between files.</param>
    /// <returns>Absolute paths.</returns>
    /// <exception cref="InputProblemException">No such survey, nothing found yet, or the folder cannot be written.</exception>
    public static IReadOnlyList<string> Write(
        EstateFolder estate,
        string? survey,
        IReadOnlySet<string> formats,
        string? folder,
        CancellationToken cancellation = default
    )
    {
        ArgumentNullException.ThrowIfNull(estate);
        ArgumentNullException.ThrowIfNull(formats);
        (StepContext context, StoredFindings findings, int at) = CurrentFindings.Of(estate, survey, cancellation);
        SurveyFindings last = findings.Surveys[at];
        Export export = new(
            estate,
            context,
            last,
            Path.GetFullPath(folder ?? Path.Combine(estate.HandoverFolder, $"export-{last.Survey}")),
            cancellation
        );
        try
        {
            return export.Write(formats);
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            throw new InputProblemException(
                export.Folder,
                $"cannot be written ({fault.Message.ReplaceLineEndings(" ").TrimEnd('.')}).",
                "Close the programs that hold its files open, or free some space, and try again.",
                fault
            );
        }
    }

    /// <summary>One survey's export.</summary>
    private sealed class Export(
        EstateFolder estate,
        StepContext context,
        SurveyFindings survey,
        string folder,
        CancellationToken cancellation
    )
    {
        private readonly List<string> written = [];
        private readonly List<ItemAsset> assets = [];

        public string Folder => folder;

        public IReadOnlyList<string> Write(IReadOnlySet<string> formats)
        {
            Directory.CreateDirectory(folder);
            IReadOnlyList<Layer> layers = new SurveyLayers(estate, survey).All();
            DateOnly day = SurveyDay.Of(survey.Survey);
            if (formats.Contains("geopackage"))
            {
                string name = $"{survey.Survey}.gpkg";
                GeoPackageLayers.Write(Path.Combine(folder, name), layers, day);
                Told(name, "application/geopackage+sqlite3", "all layers", "data");
            }

            foreach (Layer layer in layers)
            {
                cancellation.ThrowIfCancellationRequested();
                WriteLayer(layer, formats);
            }

            if (formats.Contains("kml"))
            {
                WriteFile(
                    $"{survey.Survey}.kml",
                    "application/vnd.google-earth.kml+xml",
                    "all layers",
                    file => KmlLayers.Write($"{estate.Settings.Name}, {survey.Survey}", layers, file)
                );
            }

            if (formats.Contains("gpx"))
            {
                WalkContent walk = WalkContents.Of(estate, survey, estate.Settings.Language);
                WriteFile(
                    "walk.gpx",
                    "application/gpx+xml",
                    "stops and way of the walk",
                    file => WalkFiles.WriteGpx(walk, file)
                );
            }

            if (formats.Contains("maps"))
            {
                Maps();
            }

            Styles(layers);
            Item(day);
            return written;
        }

        private void WriteLayer(Layer layer, IReadOnlySet<string> formats)
        {
            if (formats.Contains("geojson"))
            {
                WriteFile(
                    $"{layer.Name}.geojson",
                    "application/geo+json",
                    layer.Description,
                    file => GeoJsonLayer.Write(layer, file)
                );
            }

            if (formats.Contains("csv"))
            {
                WriteFile($"{layer.Name}.csv", "text/csv", layer.Description, file => CsvLayer.Write(layer, file));
            }

            if (formats.Contains("shapefile"))
            {
                ShapefileLayer.Write(
                    layer,
                    UtmDefinition.TextOf(layer.System),
                    extension =>
                    {
                        string path = Path.Combine(folder, layer.Name + extension);
                        written.Add(path);
                        return new FileStream(path, FileMode.Create);
                    }
                );
                assets.Add(
                    new ItemAsset(
                        layer.Name + "-shp",
                        layer.Name + ".shp",
                        "application/vnd.shp",
                        layer.Description,
                        "data"
                    )
                );
            }
        }

        private void Maps()
        {
            string mapping = SurveyInputs.NameOf(survey.Survey, MappingStep.Name);
            string reconstruction = SurveyInputs.NameOf(survey.Survey, ReconstructionStep.Name);
            if (context.Has(mapping))
            {
                MapFiles files = MappingStep.Files(context, mapping);
                Copy(files.Reflectance, "reflectance.tif", "reflectance, all bands");
                Copy(files.Sigma, "sigma.tif", "standard error of the reflectance");
                string cameraInput = ReportStep.CameraInput(survey.Survey);
                // A map that was made elsewhere has no camera; its bands are named by our words.
                CameraProfile? camera = context.Has(cameraInput)
                    ? CameraProfile.Load(context.PathOf(cameraInput))
                    : null;
                using RasterFile reflectance = RasterFile.Open(files.Reflectance);
                IReadOnlyList<FormulaBand> bands = IndexMap.BandsOf(reflectance, camera);
                foreach (string index in new[] { "NDVI", "NDRE" })
                {
                    cancellation.ThrowIfCancellationRequested();
                    if (Formula(index, bands) is { } formula)
                    {
                        string name = index.ToLowerInvariant() + ".tif";
                        string path = Path.Combine(folder, name);
                        File.Delete(path);
                        string? sigma = File.Exists(files.Sigma) ? files.Sigma : null;
                        IndexMap.Write(files.Reflectance, sigma, index, formula, path, threads: 1);
                        Told(
                            name,
                            SurveyItem.CogType,
                            sigma is null ? index : $"{index} and its standard error",
                            "data"
                        );
                    }
                }
            }

            // Heights that came with a map made elsewhere lie beside the map.
            string heights = context.Has(reconstruction) ? reconstruction : mapping;
            if (context.Has(heights))
            {
                foreach (
                    (string name, string title) in new[]
                    {
                        ("surface.tif", "surface height above the ellipsoid, m"),
                        ("ground.tif", "ground height above the ellipsoid, m"),
                        ("canopy.tif", "canopy height, m"),
                    }
                )
                {
                    Copy(Path.Combine(context.PathOf(heights), name), name, title);
                }
            }
        }

        /// <summary>Null when the camera has no band for it.</summary>
        private static IndexFormula? Formula(string index, IReadOnlyList<FormulaBand> bands)
        {
            try
            {
                return IndexCatalogue.FormulaOf(index, bands);
            }
            catch (InputProblemException)
            {
                return null;
            }
        }

        private void Copy(string from, string name, string title)
        {
            if (File.Exists(from))
            {
                string to = Path.Combine(folder, name);
                File.Delete(to);
                File.Copy(from, to);
                // Outputs of a run are read-only; a copy is the person's own.
                File.SetAttributes(to, FileAttributes.Normal);
                Told(name, SurveyItem.CogType, title, "data");
            }
        }

        private void Styles(IReadOnlyList<Layer> layers)
        {
            foreach (Layer layer in layers)
            {
                WriteFile(
                    $"{layer.Name}.sld",
                    "application/vnd.ogc.sld+xml",
                    $"style of {layer.Name}",
                    file => LayerStyle.Write(layer.Name, layer.Kind, LayerStyles.Of(layer.Name), file),
                    "metadata"
                );
            }

            foreach ((string name, double low, double high, ColourRamp ramp) in LayerStyles.Ramps)
            {
                WriteFile(
                    $"{name}.sld",
                    "application/vnd.ogc.sld+xml",
                    $"style of {name}.tif",
                    file => LayerStyle.WriteRamp(name, low, high, ramp.Stops, file),
                    "metadata"
                );
            }
        }

        private void Item(DateOnly day)
        {
            string mapping = SurveyInputs.NameOf(survey.Survey, MappingStep.Name);
            if (!context.Has(mapping))
            {
                return;
            }

            using RasterFile reflectance = RasterFile.Open(MappingStep.Files(context, mapping).Reflectance);
            Hillrow.Earth.GridGeometry grid = reflectance.RequireLabel().Grid;
            double Quality(string word)
            {
                string key = FindingRows.KeyOf(survey.Survey, QualityRows.Question, QualityRows.Subject, word);
                return survey.Figures.FirstOrDefault(figure => figure.Key == key)?.Value ?? double.NaN;
            }

            string name = "item.json";
            using (FileStream file = new(Path.Combine(folder, name), FileMode.Create))
            {
                SurveyItem.Write(
                    survey.Survey,
                    $"{estate.Settings.Name}, {survey.Survey}",
                    day,
                    new MapExtent(
                        grid.WestMetres,
                        grid.SouthMetres,
                        grid.EastMetres,
                        grid.NorthMetres,
                        grid.ReferenceSystem.ToString()
                    ),
                    grid.ReferenceSystem,
                    Quality("pixel"),
                    Quality("sun"),
                    assets,
                    file
                );
            }

            written.Add(Path.Combine(folder, name));
        }

        private void WriteFile(string name, string type, string title, Action<Stream> write, string role = "data")
        {
            using (FileStream file = new(Path.Combine(folder, name), FileMode.Create))
            {
                write(file);
            }

            Told(name, type, title, role);
        }

        private void Told(string name, string type, string title, string role)
        {
            written.Add(Path.Combine(folder, name));
            assets.Add(new ItemAsset(name.Replace('.', '-'), name, type, title, role));
        }
    }
}
