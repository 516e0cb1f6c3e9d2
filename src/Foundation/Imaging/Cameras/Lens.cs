using Hillrow.Numerics;

namespace Hillrow.Imaging;

/// <summary>Maps directions in the camera's frame (x right, y down, z forward) to places in the picture, and back.</summary>
/// <remarks>
/// Immutable and safe to use from many threads. A lens is defined a little beyond its frame; whether a projected
/// point lies in the picture is asked with <see cref="Contains"/>.
/// </remarks>
public abstract class Lens
{
    private protected Lens(int rows, int columns)
    {
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(rows);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(columns);
        Rows = rows;
        Columns = columns;
    }

    public int Rows { get; }

    public int Columns { get; }

    /// <summary>Adjustable values, in the order of <see cref="ParameterNames"/>.</summary>
    public abstract IReadOnlyList<double> Parameters { get; }

    public abstract IReadOnlyList<string> ParameterNames { get; }

    /// <summary>The same lens with other adjustable values.</summary>
    /// <exception cref="ArgumentException">Wrong count, not finite, or the model folds inside the frame.</exception>
    public abstract Lens WithParameters(ReadOnlySpan<double> parameters);

    /// <summary>Projects a point; false when it is not in front or lies where the model is no longer one-to-one.</summary>
    /// <param name="inCamera">Camera frame, any length unit; only the direction counts.</param>
    /// <param name="pixel">Where it falls, perhaps outside the frame; default when false.</param>
    public abstract bool TryProject(Vector3D inCamera, out PixelPoint pixel);

    /// <summary>Projects a point and gives the analytic derivatives of the pixel.</summary>
    /// <param name="inCamera">Camera frame, metres (or the unit the derivatives shall be in).</param>
    /// <param name="pixel">Where it falls.</param>
    /// <param name="byPoint">Receives 6 values: ∂column/∂(x, y, z), then ∂row/∂(x, y, z), pixels per unit.</param>
    /// <param name="byParameters">Receives 2 × Parameters.Count values: ∂column by each, then ∂row by each; or empty.</param>
    public abstract bool TryProject(
        Vector3D inCamera,
        out PixelPoint pixel,
        Span<double> byPoint,
        Span<double> byParameters
    );

    /// <summary>The direction a pixel looks in: unit length, camera frame, z above 0. False outside the model's range.</summary>
    public abstract bool TryRayOf(PixelPoint pixel, out Vector3D ray);

    /// <inheritdoc cref="TryRayOf"/>
    /// <exception cref="ArgumentOutOfRangeException">The pixel lies outside the range in which the model can be inverted.</exception>
    public Vector3D RayOf(PixelPoint pixel) =>
        TryRayOf(pixel, out Vector3D ray)
            ? ray
            : throw new ArgumentOutOfRangeException(
                nameof(pixel),
                pixel,
                $"The lens model cannot be inverted there; the frame is {Columns} × {Rows} pixels."
            );

    /// <summary>Whether the place lies in the frame, outer edges of the first row and column included.</summary>
    public bool Contains(PixelPoint pixel) =>
        pixel.Column >= 0 && pixel.Row >= 0 && pixel.Column < Columns && pixel.Row < Rows;
}
