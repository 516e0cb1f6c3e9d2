namespace Hillrow.Plants;

/// <summary>Large arrays that a worker keeps from tile to tile. They may be longer than asked for and hold old values.</summary>
/// <remarks>Made anew for every tile they would wait for a rare collection of large objects: gigabytes of them for a large block.</remarks>
internal sealed class TileBuffers
{
    private readonly Dictionary<string, Array> kept = [];

    /// <param name="name">What the array is for: no two uses at a time share a name.</param>
    /// <param name="size">Least length.</param>
    public T[] Of<T>(string name, int size)
    {
        if (kept.GetValueOrDefault(name) is not T[] array || array.Length < size)
        {
            kept[name] = array = new T[size];
        }

        return array;
    }
}
