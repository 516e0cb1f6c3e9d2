using OpenCvSharp;

namespace Hillrow.Imaging;

/// <summary>Draws a picture anew from places told pixel by pixel, by OpenCV: fast, with places rounded to 1/32 pixel.</summary>
/// <remarks>
/// For quick views, matching and search. Where a value is measured (reflectance, orthomosaic) use
/// <see cref="PictureRemap"/>, which does not round places.
/// </remarks>
public static class VisionRemap
{
    /// <param name="source">Rows × columns.</param>
    /// <param name="rows">1 … 32767.</param>
    /// <param name="columns">1 … 32767.</param>
    /// <param name="atColumns">For each result pixel the source column, our pixel convention.</param>
    /// <param name="atRows">For each result pixel the source row.</param>
    /// <param name="method">Nearest, bilinear, sharp bicubic (OpenCV's) or Lanczos (OpenCV's has 4 lobes).</param>
    /// <param name="outside">Value beyond the source.</param>
    /// <param name="result">Result rows × result columns.</param>
    /// <param name="resultRows">Above 0.</param>
    /// <param name="resultColumns">Above 0.</param>
    public static unsafe void Apply(
        ReadOnlySpan<float> source,
        int rows,
        int columns,
        ReadOnlySpan<float> atColumns,
        ReadOnlySpan<float> atRows,
        ResamplingMethod method,
        float outside,
        Span<float> result,
        int resultRows,
        int resultColumns
    )
    {
        Shapes.Check(source, rows, columns);
        Shapes.Check<float>(result, resultRows, resultColumns);
        Shapes.Check(atColumns, resultRows, resultColumns);
        Shapes.Check(atRows, resultRows, resultColumns);
        if (rows > short.MaxValue || columns > short.MaxValue)
        {
            throw new ArgumentException(
                $"OpenCV redraws pictures of at most 32767 pixels a side, not {rows} × {columns}."
            );
        }

        InterpolationFlags flag = method switch
        {
            ResamplingMethod.Nearest => InterpolationFlags.Nearest,
            ResamplingMethod.Bilinear => InterpolationFlags.Linear,
            ResamplingMethod.SharpBicubic => InterpolationFlags.Cubic,
            ResamplingMethod.Lanczos3 => InterpolationFlags.Lanczos4,
            _ => throw new ArgumentOutOfRangeException(
                nameof(method),
                method,
                "OpenCV does not redraw by this method."
            ),
        };
        VisionLibrary.EnsureReady();
        float[] x = Moved(atColumns);
        float[] y = Moved(atRows);
        fixed (float* from = source)
        fixed (float* to = result)
        fixed (float* mapX = x)
        fixed (float* mapY = y)
        {
            using Mat picture = Mat.FromPixelData(rows, columns, MatType.CV_32FC1, (nint)from);
            using Mat target = Mat.FromPixelData(resultRows, resultColumns, MatType.CV_32FC1, (nint)to);
            using Mat columnsMap = Mat.FromPixelData(resultRows, resultColumns, MatType.CV_32FC1, (nint)mapX);
            using Mat rowsMap = Mat.FromPixelData(resultRows, resultColumns, MatType.CV_32FC1, (nint)mapY);
            Cv2.Remap(picture, target, columnsMap, rowsMap, flag, BorderTypes.Constant, new Scalar(outside));
        }
    }

    private static float[] Moved(ReadOnlySpan<float> places)
    {
        float[] moved = new float[places.Length];
        for (int index = 0; index < moved.Length; index++)
        {
            moved[index] = places[index] - 0.5f;
        }

        return moved;
    }
}
