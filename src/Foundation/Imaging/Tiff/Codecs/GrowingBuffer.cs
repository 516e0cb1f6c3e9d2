namespace Hillrow.Imaging;

/// <summary>A write-only stream into memory that is kept from one use to the next.</summary>
internal sealed class GrowingBuffer : Stream
{
    private byte[] bytes = new byte[1 << 16];
    private int length;

    public ReadOnlySpan<byte> Written => bytes.AsSpan(0, length);

    public override bool CanRead => false;

    public override bool CanSeek => false;

    public override bool CanWrite => true;

    public override long Length => length;

    public override long Position
    {
        get => length;
        set => throw new NotSupportedException("Write only.");
    }

    public void Clear() => length = 0;

    public override void Write(ReadOnlySpan<byte> buffer)
    {
        if (bytes.Length - length < buffer.Length)
        {
            Array.Resize(
                ref bytes,
                (int)Math.Min(Array.MaxLength, Math.Max(2L * bytes.Length, (long)length + buffer.Length))
            );
        }

        buffer.CopyTo(bytes.AsSpan(length));
        length += buffer.Length;
    }

    public override void Write(byte[] buffer, int offset, int count) => Write(buffer.AsSpan(offset, count));

    public override void Flush() { }

    public override int Read(byte[] buffer, int offset, int count) => throw new NotSupportedException("Write only.");

    public override long Seek(long offset, SeekOrigin origin) => throw new NotSupportedException("Write only.");

    public override void SetLength(long value) => throw new NotSupportedException("Write only.");
}
