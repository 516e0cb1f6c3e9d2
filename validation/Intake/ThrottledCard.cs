using System.Diagnostics;
using Hillrow.Estate;

namespace Hillrow.Validation.Intake;

/// <summary>A card reader that gives so many bytes a second in all, whoever reads.</summary>
internal sealed class ThrottledCard(double bytesPerSecond)
{
    private const int Piece = 1 << 18;

    private readonly Lock gate = new();
    private readonly Stopwatch watch = Stopwatch.StartNew();
    private double free;

    public long BytesGiven { get; private set; }

    /// <summary>Since this was made, when the last byte was given.</summary>
    public TimeSpan LastByteAt { get; private set; }

    public TimeSpan Elapsed => watch.Elapsed;

    public CardDoor Door => CardDoor.Usual with { Open = path => new Throttled(File.OpenRead(path), this) };

    private void Wait(int bytes)
    {
        double until;
        lock (gate)
        {
            double now = watch.Elapsed.TotalSeconds;
            free = Math.Max(free, now) + (bytes / bytesPerSecond);
            until = free;
            BytesGiven += bytes;
        }

        // The card gives a piece when it has been carried over, not before.
        double left = until - watch.Elapsed.TotalSeconds;
        if (left > 0)
        {
            Thread.Sleep(TimeSpan.FromSeconds(left));
        }

        lock (gate)
        {
            LastByteAt = watch.Elapsed;
        }
    }

    private sealed class Throttled(Stream inner, ThrottledCard card) : Stream
    {
        public override bool CanRead => true;

        public override bool CanSeek => false;

        public override bool CanWrite => false;

        public override long Length => inner.Length;

        public override long Position
        {
            get => inner.Position;
            set => throw new NotSupportedException("A card is read from its start.");
        }

        public override int Read(Span<byte> buffer)
        {
            int got = inner.Read(buffer[..Math.Min(buffer.Length, Piece)]);
            card.Wait(got);
            return got;
        }

        public override int Read(byte[] buffer, int offset, int count) => Read(buffer.AsSpan(offset, count));

        public override void Flush() { }

        public override long Seek(long offset, SeekOrigin origin) =>
            throw new NotSupportedException("A card is read from its start.");

        public override void SetLength(long value) => throw new NotSupportedException("Read only.");

        public override void Write(byte[] buffer, int offset, int count) =>
            throw new NotSupportedException("Read only.");

        protected override void Dispose(bool disposing)
        {
            inner.Dispose();
            base.Dispose(disposing);
        }
    }
}
