namespace Stakeboat.Readers.Text;

/// <summary>Lines of a text with their numbers; CR, LF and CR LF all end a line. No copy is made.</summary>
public ref struct LineWalk(ReadOnlySpan<char> text)
{
    private ReadOnlySpan<char> _rest = text;
    private bool _done = text.Length == 0;

    /// <summary>The present line without its end.</summary>
    public ReadOnlySpan<char> Current { get; private set; }

    /// <summary>1-based number of the present line.</summary>
    public int Number { get; private set; }

    public bool Next()
    {
        if (_done)
        {
            Current = default;
            return false;
        }

        int end = _rest.IndexOfAny('\r', '\n');
        Number++;
        if (end < 0)
        {
            Current = _rest;
            _rest = default;
            _done = true;
            return true;
        }

        Current = _rest[..end];
        int skip = _rest[end] == '\r' && end + 1 < _rest.Length && _rest[end + 1] == '\n' ? 2 : 1;
        _rest = _rest[(end + skip)..];
        _done = _rest.Length == 0;
        return true;
    }
}
