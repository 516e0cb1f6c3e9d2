using Hillrow.Imaging;
using Hillrow.TestSupport;

namespace Hillrow.Checks;

/// <summary>Every picture and case of tests/Reference/image-processing against our kernels.</summary>
public static class ImageProcessingChecks
{
    private delegate void Filter(CheckPicture picture, double[] result);

    /// <summary>Filters and grey morphology: a case is one picture and one operation.</summary>
    public static CheckTally Filters()
    {
        StructuringElement square5 = StructuringElement.Square(5);
        (string Name, double Tolerance, Filter Filter)[] operations =
        [
            (
                "gauss1_reflect",
                1e-8,
                (p, r) => GaussianFilter.Smooth<double>(p.Values, p.Rows, p.Columns, 1, Border.Reflect, r)
            ),
            (
                "gauss2p5_nearest",
                1e-8,
                (p, r) => GaussianFilter.Smooth<double>(p.Values, p.Rows, p.Columns, 2.5, Border.Nearest, r)
            ),
            (
                "sobel_row",
                1e-8,
                (p, r) => DerivativeFilter.SobelAlongRows<double>(p.Values, p.Rows, p.Columns, Border.Nearest, r)
            ),
            (
                "sobel_col",
                1e-8,
                (p, r) => DerivativeFilter.SobelAlongColumns<double>(p.Values, p.Rows, p.Columns, Border.Nearest, r)
            ),
            (
                "laplace",
                1e-8,
                (p, r) => DerivativeFilter.Laplacian<double>(p.Values, p.Rows, p.Columns, Border.Nearest, r)
            ),
            (
                "log2",
                1e-7,
                (p, r) => GaussianFilter.Laplacian<double>(p.Values, p.Rows, p.Columns, 2, Border.Nearest, r)
            ),
            ("median3", 1e-8, (p, r) => WindowFilter.Median<double>(p.Values, p.Rows, p.Columns, 3, Border.Nearest, r)),
            ("mean5", 1e-8, (p, r) => WindowFilter.Mean<double>(p.Values, p.Rows, p.Columns, 5, Border.Nearest, r)),
            ("open_square5", 1e-9, (p, r) => GreyMorphology.Open<double>(p.Values, p.Rows, p.Columns, square5, r)),
            ("close_square5", 1e-9, (p, r) => GreyMorphology.Close<double>(p.Values, p.Rows, p.Columns, square5, r)),
            (
                "tophat_disk3",
                1e-9,
                (p, r) => GreyMorphology.TopHat<double>(p.Values, p.Rows, p.Columns, StructuringElement.Disk(3), r)
            ),
        ];
        CheckTally tally = new();
        foreach (string name in CheckPicture.Names)
        {
            CheckPicture picture = CheckPicture.Open(name);
            foreach ((string operation, double tolerance, Filter filter) in operations)
            {
                double[] result = new double[picture.Values.Length];
                filter(picture, result);
                Compare(
                    tally,
                    $"{name}_{operation}",
                    result,
                    CheckPicture.Open($"{name}_{operation}").Values,
                    tolerance
                );
            }

            double[] surface = new double[picture.Values.Length];
            GaussianFilter.Smooth<double>(picture.Values, picture.Rows, picture.Columns, 1.5, Border.Nearest, surface);
            Compare(
                tally,
                $"{name}_watershed_surface",
                surface,
                CheckPicture.Open($"{name}_watershed_surface").Values,
                1e-8
            );
        }

        return tally;
    }

    /// <summary>Masks: threshold, binary morphology, distances.</summary>
    public static CheckTally Masks()
    {
        CheckTally tally = new();
        foreach (string name in CheckPicture.Names)
        {
            CheckPicture picture = CheckPicture.Open(name);
            double threshold = OtsuThreshold.Of<double>(picture.Values);
            byte[] mask = [.. picture.Values.Select(value => value > threshold ? (byte)1 : (byte)0)];
            (int rows, int columns) = (picture.Rows, picture.Columns);
            Compare(tally, $"{name}_mask_otsu", mask, $"{name}_mask_otsu");
            byte[] result = new byte[mask.Length];
            BinaryMorphology.Open(mask, rows, columns, StructuringElement.Square(3), result);
            Compare(tally, $"{name}_bin_open_square3", result, $"{name}_bin_open_square3");
            BinaryMorphology.Close(mask, rows, columns, StructuringElement.Square(3), result);
            Compare(tally, $"{name}_bin_close_square3", result, $"{name}_bin_close_square3");
            BinaryMorphology.Erode(mask, rows, columns, StructuringElement.Disk(2), result);
            Compare(tally, $"{name}_bin_erode_disk2", result, $"{name}_bin_erode_disk2");
            BinaryMorphology.Dilate(mask, rows, columns, StructuringElement.Disk(2), result);
            Compare(tally, $"{name}_bin_dilate_disk2", result, $"{name}_bin_dilate_disk2");
            BinaryMorphology.FillHoles(mask, rows, columns, result);
            Compare(tally, $"{name}_fill_holes", result, $"{name}_fill_holes");
            double[] distance = new double[mask.Length];
            DistanceTransform.Euclidean(mask, rows, columns, distance);
            Compare(tally, $"{name}_edt", distance, CheckPicture.Open($"{name}_edt").Values, 1e-6);
            int[] steps = new int[mask.Length];
            DistanceTransform.CityBlock(mask, rows, columns, steps);
            Compare(
                tally,
                $"{name}_cityblock",
                [.. steps.Select(step => (double)step)],
                CheckPicture.Open($"{name}_cityblock").Values,
                0
            );
            DistanceTransform.Chessboard(mask, rows, columns, steps);
            Compare(
                tally,
                $"{name}_chessboard",
                [.. steps.Select(step => (double)step)],
                CheckPicture.Open($"{name}_chessboard").Values,
                0
            );
        }

        return tally;
    }

    public static CheckTally Otsu()
    {
        CheckTally tally = new();
        foreach (CheckCase check in CheckBook.Open("image-processing", "otsu.json").Cases)
        {
            CheckPicture picture = CheckPicture.Open(check.In.GetProperty("image").GetString()!);
            if (check.In.TryGetProperty("bins", out var bins))
            {
                double got = OtsuThreshold.Of<double>(picture.Values, bins.GetInt32());
                double width = (picture.Values.Max() - picture.Values.Min()) / bins.GetInt32();
                tally.Compare(check.Id, "threshold", got, check.Out.GetProperty("threshold").GetDouble(), width);
                tally.Compare(
                    check.Id,
                    "foreground",
                    picture.Values.Count(value => value > got),
                    check.Out.GetProperty("foreground_pixels").GetInt32(),
                    0
                );
            }
            else if (check.Out.TryGetProperty("threshold", out var threshold))
            {
                tally.Compare(check.Id, "threshold", OtsuThreshold.Of(picture.Bytes), threshold.GetInt32(), 1);
            }
            else
            {
                foreach (var percentile in check.Out.EnumerateObject())
                {
                    double[] got = new double[1];
                    double percent = double.Parse(
                        percentile.Name.AsSpan(1),
                        System.Globalization.CultureInfo.InvariantCulture
                    );
                    OrderStatistic.Percentiles<double>(picture.Values, [percent], got);
                    tally.Compare(check.Id, percentile.Name, got[0], percentile.Value.GetDouble(), 1e-9);
                }
            }
        }

        return tally;
    }

    public static CheckTally Components()
    {
        CheckTally tally = new();
        foreach (CheckCase check in CheckBook.Open("image-processing", "components.json").Cases)
        {
            string maskName = check.In.GetProperty("mask").GetString()!;
            string name = maskName.Split('_')[0];
            int connectivity = check.In.GetProperty("connectivity").GetInt32();
            CheckPicture mask = CheckPicture.Open(maskName);
            int[] labels = new int[mask.Values.Length];
            int count = Labelling.Label(
                mask.Mask,
                mask.Rows,
                mask.Columns,
                connectivity == 4 ? Connectivity.Four : Connectivity.Eight,
                labels
            );
            tally.Compare(check.Id, "count", count, check.Out.GetProperty("count").GetInt32(), 0);
            tally.IsTrue(
                check.Id,
                "same partition",
                IsSamePartition(labels, CheckPicture.Open($"{name}_label{connectivity}").Labels)
            );
            IReadOnlyList<RegionMeasure> measures = RegionMeasures.Of<double>(
                labels,
                mask.Rows,
                mask.Columns,
                count,
                CheckPicture.Open(name).Values
            );
            int at = 0;
            foreach (var region in check.Out.GetProperty("regions_by_first_pixel").EnumerateArray())
            {
                RegionMeasure got = measures[at++];
                double Wanted(string key) => region.GetProperty(key).GetDouble();
                double[] centroid = CheckCameras.Doubles(region.GetProperty("centroid_row_col"));
                double[] box = CheckCameras.Doubles(region.GetProperty("bbox_r0c0r1c1"));
                tally.Compare(check.Id, $"{at} area", got.AreaPixels, Wanted("area"), 0);
                tally.Compare(check.Id, $"{at} centroid row", got.Centroid.Row - 0.5, centroid[0], 1e-9);
                tally.Compare(check.Id, $"{at} centroid column", got.Centroid.Column - 0.5, centroid[1], 1e-9);
                tally.IsTrue(
                    check.Id,
                    $"{at} box",
                    box.SequenceEqual([got.FirstRow, got.FirstColumn, got.EndRow, got.EndColumn])
                );
                tally.Compare(
                    check.Id,
                    $"{at} diameter",
                    got.EquivalentDiameterPixels,
                    Wanted("equivalent_diameter"),
                    1e-6
                );
                tally.Compare(check.Id, $"{at} mean", got.MeanIntensity, Wanted("mean_intensity"), 1e-9);
                tally.Compare(check.Id, $"{at} major", got.MajorAxisPixels, Wanted("major_axis"), 1e-6);
                tally.Compare(check.Id, $"{at} minor", got.MinorAxisPixels, Wanted("minor_axis"), 1e-6);
                tally.Compare(check.Id, $"{at} eccentricity", got.Eccentricity, Wanted("eccentricity"), 1e-6);
            }
        }

        return tally;
    }

    public static CheckTally Peaks()
    {
        CheckTally tally = new();
        foreach (CheckCase check in CheckBook.Open("image-processing", "peaks.json").Cases)
        {
            CheckPicture surface = CheckPicture.Open(check.In.GetProperty("image").GetString()!);
            IReadOnlyList<PeakPixel> got = LocalPeaks.Find<double>(
                surface.Values,
                surface.Rows,
                surface.Columns,
                check.In.GetProperty("min_distance").GetInt32(),
                check.In.GetProperty("threshold").GetDouble()
            );
            var wanted = check.Out.GetProperty("row_col").EnumerateArray().Select(CheckCameras.Doubles);
            tally.IsTrue(
                check.Id,
                $"peaks {string.Join(' ', got)}",
                got.Select(peak => (peak.Row, peak.Column))
                    .SequenceEqual(wanted.Select(pair => ((int)pair[0], (int)pair[1])))
            );
        }

        return tally;
    }

    public static CheckTally Watershed()
    {
        CheckTally tally = new();
        foreach (CheckCase check in CheckBook.Open("image-processing", "watershed.json").Cases)
        {
            string markers = check.In.GetProperty("markers").GetString()!;
            CheckPicture surface = CheckPicture.Open(markers.Replace("markers", "surface", StringComparison.Ordinal));
            byte[] mask = CheckPicture.Open(check.In.GetProperty("mask").GetString()!).Mask;
            int[] labels = CheckPicture.Open(markers).Labels;
            WatershedFlood.Grow<double>(
                [.. surface.Values.Select(value => -value)],
                surface.Rows,
                surface.Columns,
                mask,
                check.In.GetProperty("connectivity").GetInt32() == 4 ? Connectivity.Four : Connectivity.Eight,
                labels
            );
            int[] wanted = CheckPicture.Open(check.Out.GetProperty("labels").GetString()!).Labels;
            int inside = mask.Count(value => value != 0);
            int unlike = labels.Zip(wanted).Count(pair => pair.First != pair.Second);
            tally.Compare(check.Id, "share of mask pixels unlike", unlike / (double)inside, 0, 0.01);
            double[] areas = CheckCameras.Doubles(check.Out.GetProperty("areas"));
            for (int label = 1; label <= areas.Length; label++)
            {
                tally.Compare(check.Id, $"area {label}", labels.Count(value => value == label), areas[label - 1], 3);
            }
        }

        return tally;
    }

    public static CheckTally Texture()
    {
        CheckTally tally = new();
        foreach (CheckCase check in CheckBook.Open("image-processing", "glcm.json").Cases)
        {
            CheckPicture picture = CheckPicture.Open(check.In.GetProperty("image").GetString()!);
            byte[] levels = [.. picture.Bytes.Select(value => (byte)(value * 8 / 256))];
            int at = 0;
            foreach (var offset in check.In.GetProperty("offsets_row_col").EnumerateArray())
            {
                double[] step = CheckCameras.Doubles(offset);
                double[] matrix = new double[64];
                CoOccurrence.Matrix(
                    levels,
                    picture.Rows,
                    picture.Columns,
                    8,
                    (int)step[0],
                    (int)step[1],
                    check.In.GetProperty("symmetric").GetBoolean(),
                    matrix
                );
                TextureMeasures got = CoOccurrence.Measure(matrix, 8);
                void Check(string key, double value) =>
                    tally.Compare(check.Id, $"{key} {at}", value, check.Out.GetProperty(key)[at].GetDouble(), 1e-9);
                Check("contrast", got.Contrast);
                Check("dissimilarity", got.Dissimilarity);
                Check("homogeneity", got.Homogeneity);
                Check("ASM", got.AngularSecondMoment);
                Check("energy", got.Energy);
                Check("correlation", got.Correlation);
                Check(
                    check
                        .Out.EnumerateObject()
                        .First(entry => entry.Name.StartsWith("entropy", StringComparison.Ordinal))
                        .Name,
                    got.EntropyNats
                );
                at++;
            }
        }

        return tally;
    }

    public static CheckTally Template()
    {
        CheckTally tally = new();
        foreach (CheckCase check in CheckBook.Open("image-processing", "template_match.json").Cases)
        {
            CheckPicture picture = CheckPicture.Open(check.In.GetProperty("image").GetString()!);
            double[] rowRange = CheckCameras.Doubles(check.In.GetProperty("template_rows"));
            double[] columnRange = CheckCameras.Doubles(check.In.GetProperty("template_cols"));
            (int top, int left) = ((int)rowRange[0], (int)columnRange[0]);
            (int rows, int columns) = ((int)rowRange[1] - top, (int)columnRange[1] - left);
            double[] template = new double[rows * columns];
            for (int index = 0; index < template.Length; index++)
            {
                template[index] = picture.Values[
                    ((top + (index / columns)) * picture.Columns) + left + (index % columns)
                ];
            }

            int resultColumns = picture.Columns - columns + 1;
            double[] result = new double[(picture.Rows - rows + 1) * resultColumns];
            TemplateMatch.Correlate(picture.Values, picture.Rows, picture.Columns, template, rows, columns, result);
            double[] best = CheckCameras.Doubles(check.Out.GetProperty("best_row_col"));
            tally.Compare(
                check.Id,
                "best",
                Array.IndexOf(result, result.Max()),
                (best[0] * resultColumns) + best[1],
                0
            );
            foreach (var value in check.Out.GetProperty("values").EnumerateArray())
            {
                double[] corner = CheckCameras.Doubles(value.GetProperty("top_left"));
                tally.Compare(
                    check.Id,
                    $"ncc at {corner[0]}, {corner[1]}",
                    result[(int)((corner[0] * resultColumns) + corner[1])],
                    value.GetProperty("ncc").GetDouble(),
                    1e-6
                );
            }
        }

        return tally;
    }

    public static CheckTally Shift()
    {
        CheckTally tally = new();
        foreach (CheckCase check in CheckBook.Open("image-processing", "phase_correlation.json").Cases)
        {
            CheckPicture first = CheckPicture.Open(
                check.In.GetProperty("a").GetString()!.Replace(".csv", "", StringComparison.Ordinal)
            );
            CheckPicture second = CheckPicture.Open(
                check.In.GetProperty("b").GetString()!.Replace(".csv", "", StringComparison.Ordinal)
            );
            PictureShift got = ShiftEstimate.Of<double>(
                first.Values,
                second.Values,
                first.Rows,
                first.Columns,
                SpectrumWeight.Amplitude
            );
            double[] wanted = CheckCameras.Doubles(check.Out.GetProperty("true_shift_row_col"));
            double tolerance = check.In.GetProperty("noise_sd").GetDouble() == 0 ? 0.02 : 0.05;
            tally.Compare(check.Id, "rows", got.Rows, wanted[0], tolerance);
            tally.Compare(check.Id, "columns", got.Columns, wanted[1], tolerance);
        }

        return tally;
    }

    public static CheckTally Samples()
    {
        (string Key, ResamplingMethod Method, double Tolerance)[] methods =
        [
            ("bilinear", ResamplingMethod.Bilinear, 1e-12),
            ("cubic_keys_a_minus_half", ResamplingMethod.Bicubic, 1e-10),
            ("cubic_a_minus_three_quarters", ResamplingMethod.SharpBicubic, 1e-10),
            ("lanczos3_normalised", ResamplingMethod.Lanczos3, 1e-10),
        ];
        CheckTally tally = new();
        foreach (CheckCase check in CheckBook.Open("image-processing", "resampling.json").Cases)
        {
            CheckPicture picture = CheckPicture.Open(check.In.GetProperty("image").GetString()!);
            PixelPoint at = CheckCameras.FromCentreConvention(
                check.In.GetProperty("col").GetDouble(),
                check.In.GetProperty("row").GetDouble()
            );
            foreach ((string key, ResamplingMethod method, double tolerance) in methods)
            {
                tally.Compare(
                    check.Id,
                    key,
                    Resampling.Sample<double>(picture.Values, picture.Rows, picture.Columns, at, method),
                    check.Out.GetProperty(key).GetDouble(),
                    tolerance
                );
            }
        }

        return tally;
    }

    /// <summary>All of the above.</summary>
    public static IReadOnlyList<CheckTally> All() =>
        [Filters(), Masks(), Otsu(), Components(), Peaks(), Watershed(), Texture(), Template(), Shift(), Samples()];

    private static bool IsSamePartition(int[] one, int[] other)
    {
        Dictionary<int, int> there = [];
        Dictionary<int, int> back = [];
        for (int index = 0; index < one.Length; index++)
        {
            there.TryAdd(one[index], other[index]);
            back.TryAdd(other[index], one[index]);
            if (there[one[index]] != other[index] || back[other[index]] != one[index])
            {
                return false;
            }
        }

        return true;
    }

    private static void Compare(CheckTally tally, string caseId, byte[] got, string wanted) =>
        Compare(
            tally,
            caseId,
            [.. got.Select(value => (double)value)],
            [.. CheckPicture.Open(wanted).Mask.Select(value => (double)value)],
            0
        );

    private static void Compare(CheckTally tally, string caseId, double[] got, double[] wanted, double tolerance)
    {
        for (int index = 0; index < wanted.Length; index++)
        {
            tally.Compare(caseId, $"pixel {index}", got[index], wanted[index], tolerance);
        }
    }
}
