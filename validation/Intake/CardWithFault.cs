using System.Diagnostics;
using Hillrow.Imaging;
using Hillrow.Numerics;
using Hillrow.Rehearsal;

namespace Hillrow.Validation.Intake;

/// <summary>A flown card's files, linked, to plant a fault in.</summary>
internal sealed class CardWithFault
{
    private const int StoredBits = 16;
    private const int CameraBits = 12;
    private const int Bands = 5;

    public CardWithFault(FlownCard flown, string folder)
    {
        Flown = flown;
        Folder = folder;
        using Process copy = Process.Start("cp", ["-al", flown.CardFolder, folder]);
        copy.WaitForExit();
        if (copy.ExitCode != 0)
        {
            throw new InvalidOperationException($"cp -al {flown.CardFolder} {folder} ended with {copy.ExitCode}.");
        }
    }

    public FlownCard Flown { get; }

    public string Folder { get; }

    public int Shift => Flown.Dialect.Placement == BitPlacement.High ? StoredBits - CameraBits : 0;

    public IEnumerable<string> FilesOf(int number) =>
        Flown.Dialect.FilesOf(number).Select(file => Path.Combine(Folder, file));

    /// <summary>The capture that a file of the survey is of; 0 for none. Folders above the card's own do not matter.</summary>
    public int NumberOf(string file)
    {
        for (int number = 1; number <= Flown.Captures; number++)
        {
            if (
                Flown
                    .Dialect.FilesOf(number)
                    .Any(own => file == own || file.EndsWith("/" + own, StringComparison.Ordinal))
            )
            {
                return number;
            }
        }

        return 0;
    }

    public void Remove(int number)
    {
        foreach (string file in FilesOf(number))
        {
            File.Delete(file);
        }
    }

    public void Edit(int number, Action<CardFileEdit> change)
    {
        foreach (string file in FilesOf(number))
        {
            CardFileEdit.Do(file, change);
        }
    }

    /// <summary>Counts of every band; the black level is told to the change.</summary>
    public void Counts(int number, Action<int, int[], int, double> change)
    {
        string[] files = [.. FilesOf(number)];
        for (int band = 0; band < Bands; band++)
        {
            double black = Flown.Model.Rig.Lenses[band].Sensor.BlackCounts;
            int at = band;
            CardFileEdit.Do(
                files.Length == 1 ? files[0] : files[band],
                file =>
                    file.Counts(
                        files.Length == 1 ? at : 0,
                        Shift,
                        (counts, columns) => change(at, counts, columns, black)
                    )
            );
        }
    }

    /// <summary>The picture smeared along a direction, as by a gust or a loose mount.</summary>
    public void Smear(int number, double pixels, double degrees) =>
        Counts(
            number,
            (_, counts, columns, _) =>
            {
                int[] sharp = [.. counts];
                int rows = counts.Length / columns;
                (double right, double down) = (Math.Cos(degrees * Math.PI / 180), Math.Sin(degrees * Math.PI / 180));
                int steps = (int)Math.Ceiling(2 * pixels);
                for (int row = 0; row < rows; row++)
                {
                    for (int column = 0; column < columns; column++)
                    {
                        double sum = 0;
                        for (int step = 0; step <= steps; step++)
                        {
                            double along = pixels * (((double)step / steps) - 0.5);
                            int x = Math.Clamp((int)Math.Round(column + (along * right)), 0, columns - 1);
                            int y = Math.Clamp((int)Math.Round(row + (along * down)), 0, rows - 1);
                            sum += sharp[(y * columns) + x];
                        }

                        counts[(row * columns) + column] = (int)Math.Round(sum / (steps + 1));
                    }
                }
            }
        );

    /// <summary>More light than the sensor holds: a share of the pixels of every band is clipped.</summary>
    public void Overexpose(int number, double clippedShare) =>
        Counts(
            number,
            (_, counts, _, black) =>
            {
                int[] sorted = [.. counts.Order()];
                double factor = (4095 - black) / (sorted[(int)((1 - clippedShare) * (sorted.Length - 1))] - black);
                for (int at = 0; at < counts.Length; at++)
                {
                    counts[at] = (int)Math.Round(black + ((counts[at] - black) * factor));
                }
            }
        );

    /// <summary>The panel's surroundings without the sun's beam: what is left is the sky's share, band by band.</summary>
    public void Shade(int number)
    {
        PoseTruth truth = Flown.PoseOf(number);
        Counts(
            number,
            (band, counts, _, black) =>
            {
                double sky = truth.DiffuseIrradiance[band];
                double left = sky / (sky + truth.DirectHorizontalIrradiance[band]);
                for (int at = 0; at < counts.Length; at++)
                {
                    counts[at] = (int)Math.Round(black + ((counts[at] - black) * left));
                }
            }
        );
    }

    /// <summary>Two bands called by each other's name, wherever this camera tells it: in the file's name or in the XMP.</summary>
    public void SwapBands(int one, int other)
    {
        for (int number = 1; number <= Flown.Captures; number++)
        {
            string[] files = [.. FilesOf(number)];
            switch (Flown.Dialect.Name)
            {
                case "loma" or "vega":
                    File.Move(files[one], files[one] + ".away");
                    File.Move(files[other], files[one]);
                    File.Move(files[one] + ".away", files[other]);
                    break;
                case "brisa":
                    CardFileEdit.Do(files[one], file => file.Xmp(0, text => Called(text, one, other)));
                    CardFileEdit.Do(files[other], file => file.Xmp(0, text => Called(text, other, one)));
                    break;
                default:
                    CardFileEdit.Do(
                        files[0],
                        file =>
                        {
                            file.Xmp(one, text => Called(text, one, other));
                            file.Xmp(other, text => Called(text, other, one));
                        }
                    );
                    break;
            }
        }
    }

    private static string Called(string text, int from, int to)
    {
        RigBand old = RigBand.Five[from];
        RigBand now = RigBand.Five[to];
        string changed = text.Replace($"Colour=\"{old.Name}\"", $"Colour=\"{now.Name}\"")
            .Replace($"ColourMiddle=\"{Text(old.CentreNanometres)}\"", $"ColourMiddle=\"{Text(now.CentreNanometres)}\"")
            .Replace($"<cr:page>{from + 1}<", $"<cr:page>{to + 1}<")
            .Replace(
                $"<cr:middle>{Text(old.CentreNanometres / 1000)}<",
                $"<cr:middle>{Text(now.CentreNanometres / 1000)}<"
            );
        return changed == text
            ? throw new InvalidOperationException($"No band {old.Name} is named in {text}.")
            : changed;
    }

    private static string Text(double value) =>
        value.ToString("0.####", System.Globalization.CultureInfo.InvariantCulture);
}
