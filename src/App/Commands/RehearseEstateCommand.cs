using System.CommandLine;
using Hillrow.Estate;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Rehearsal;

namespace Hillrow.App.Commands;

/// <summary>Makes an estate folder of an invented estate, and begins its truth elsewhere.</summary>
internal static class RehearseEstateCommand
{
    public static Command Create(CommandOutput speech)
    {
        Argument<string> folder = new("DIR") { Description = "A folder that is new or empty." };
        Option<string?> truth = TruthOption();
        Option<string?> seed = Given.Text("--seed", "Which estate; 1 when not said.", "NUMBER");
        Option<string?> hectares = Given.Text("--hectares", "Size, 0.3 to 6; 2 when not said.", "HECTARES");
        Option<string?> slope = Given.Text("--slope", "Mean fall, rise over run; 0.24 when not said.", "SHARE");
        Option<string?> terrain = Given.Text("--terrain", "A GeoTIFF of heights to plant on.", "FILE");
        Option<string?> at = Given.Text("--at", "Middle of the estate on that terrain, in degrees.", "LAT,LON");
        Option<string?> dates = Given.Text(
            "--dates",
            "Days to fly, split by commas; 2026-04-12,2026-08-23 when not said.",
            "DAYS"
        );
        Option<bool> thermal = new("--thermal")
        {
            Description = "The camera carries a thermal sensor as its sixth band.",
        };
        Command command = new(
            "estate",
            "Model an invented estate and make its folder: blocks, terrain, camera profiles. The truth goes elsewhere."
        )
        {
            folder,
            truth,
            seed,
            hectares,
            slope,
            terrain,
            at,
            dates,
            thermal,
        };
        command.SetAction(parsed =>
        {
            string root = parsed.GetRequiredValue(folder);
            RehearsedEstateSettings settings = Settings(
                parsed.GetValue(seed),
                parsed.GetValue(hectares),
                parsed.GetValue(slope),
                parsed.GetValue(terrain),
                parsed.GetValue(at),
                parsed.GetValue(dates)
            ) with
            {
                Thermal = parsed.GetValue(thermal),
            };
            RehearsedEstate model = RehearsedEstate.Build(settings);
            string truthFolder = parsed.GetValue(truth) ?? TruthFolder.Beside(root);
            TruthFolder.Create(truthFolder, root, settings);
            EstateFolder estate = Make(root, model);
            speech.Line(Messages.Made(estate));
            speech.Line($"Its truth is in {Path.GetFullPath(truthFolder)}; keep it out of the estate.");
            speech.Line(
                $"Next: fly it with `hillrow rehearse fly {root} --truth {truthFolder} --date {settings.Dates[0]:yyyy-MM-dd}`."
            );
            speech.Result(
                new
                {
                    ok = true,
                    estate = estate.Root,
                    truth = Path.GetFullPath(truthFolder),
                    blocks = model.Layout.Blocks.Select(block => block.Name),
                    dates = settings.Dates,
                    camera = ProfileFile(estate, CardDialect.All[0]),
                }
            );
            return ExitCodes.Done;
        });
        return command;
    }

    public static Option<string?> TruthOption() =>
        Given.Text("--truth", "Folder of the truth, outside the estate; ESTATE-truth when not said.", "DIR");

    private static string ProfileFile(EstateFolder estate, CardDialect dialect) =>
        Path.Combine(estate.CamerasFolder, dialect.Name + ".toml");

    /// <summary>Puts the camera's profile into the estate, unless it has one of that name, which the user may have mended.</summary>
    public static string BringProfile(EstateFolder estate, RehearsedEstate model, CardDialect dialect)
    {
        string file = ProfileFile(estate, dialect);
        if (!File.Exists(file))
        {
            File.WriteAllText(
                file,
                NominalProfile.Of(model.Rig, dialect, model.Panel, thermal: model.Thermal is not null).ToToml()
            );
        }

        return file;
    }

    private static RehearsedEstateSettings Settings(
        string? seed,
        string? hectares,
        string? slope,
        string? terrain,
        string? at,
        string? dates
    )
    {
        RehearsedEstateSettings settings = new();
        (double, double)? middle = at is null ? null : Given.Place("--at", at);
        return settings with
        {
            Seed = RehearseCommand.Seed(seed) ?? settings.Seed,
            Hectares = Given.Number("--hectares", hectares) ?? settings.Hectares,
            MeanSlope = Given.Number("--slope", slope) ?? settings.MeanSlope,
            TerrainFile = terrain is null ? null : Path.GetFullPath(terrain),
            LatitudeDegrees = middle?.Item1,
            LongitudeDegrees = middle?.Item2,
            Dates = dates is null
                ? settings.Dates
                : [.. dates.Split(',').Select(day => Given.Day("--dates", day.Trim())!.Value)],
        };
    }

    /// <summary>The estate folder as a grower would have brought it together.</summary>
    internal static EstateFolder Make(string root, RehearsedEstate model)
    {
        EstateFolder estate = EstateFolder.Create(
            root,
            Estate.EstateSettings.Plain("Loma Ensayada", model.Place.Zone.ToReferenceSystem(), Language.English)
        );
        BringProfile(estate, model, CardDialect.All[0]);
        if (model.Settings.TerrainFile is { } given)
        {
            File.Copy(given, Path.Combine(estate.TerrainFolder, Path.GetFileName(given)));
        }
        else
        {
            TerrainDraft.Write(model, Path.Combine(estate.TerrainFolder, "terrain-30m.tif"));
        }

        BringBlocks(estate, model);
        return estate;
    }

    /// <summary>Through the same door as a grower's own file.</summary>
    private static void BringBlocks(EstateFolder estate, RehearsedEstate model)
    {
        string file = Path.Combine(Path.GetTempPath(), $"blocks-{Guid.NewGuid():N}.geojson");
        try
        {
            File.WriteAllText(file, EstateBoundaries.GeoJson(model));
            BlockBook book = new(estate);
            BlockImportResult found = BlockImport.Read(BoundaryFile.Read(file, null), estate.ReferenceSystem, []);
            if (found.Refused.Count > 0)
            {
                throw new InvalidOperationException(
                    "Modelled blocks were refused: " + string.Join("; ", found.Refused)
                );
            }

            book.Store(found.Blocks, replace: false);
            foreach (BlockPlan block in model.Layout.Blocks.Where(block => block.Treated))
            {
                book.Add(
                    new BlockLogEntry(
                        block.Name,
                        EstateBoundaries.TreatedOn(model),
                        LogKind.Spray,
                        null,
                        "",
                        "root drench",
                        "against the root pest"
                    )
                );
            }
        }
        finally
        {
            File.Delete(file);
        }
    }
}
