using System.Xml;

namespace Stakeboat.Readers.Tracks;

/// <summary>
/// Untrusted XML: no document type, no outside entities, depth at most 64, no tree is ever built. A broken end keeps what came before.
/// </summary>
internal sealed class XmlWalk : IDisposable
{
    public const int MaxDepth = 64;

    /// <summary>Longest text of one element that is kept, characters.</summary>
    public const int MaxText = 4096;

    private readonly XmlReader _xml;
    private readonly IXmlLineInfo? _lines;
    private readonly char[] _text = new char[MaxText];
    private int _length;

    public XmlWalk(Stream stream)
    {
        _xml = XmlReader.Create(stream, new XmlReaderSettings
        {
            DtdProcessing = DtdProcessing.Prohibit,
            XmlResolver = null,
            IgnoreComments = true,
            IgnoreProcessingInstructions = true,
            CheckCharacters = false,
            MaxCharactersFromEntities = 1 << 16,
            CloseInput = false,
        });
        _lines = _xml as IXmlLineInfo;
    }

    public XmlReader Xml => _xml;

    public int Line => _lines?.LineNumber ?? 0;

    /// <summary>The text gathered since the last element began or ended.</summary>
    public ReadOnlySpan<char> Text => _text.AsSpan(0, _length);

    /// <summary>Next beginning or end of an element; false at the end of the file or where it cannot be read further (then said in the log).</summary>
    public bool Next(IssueLog log, string root)
    {
        try
        {
            if (_xml.NodeType == XmlNodeType.Element)
            {
                _length = 0;
            }

            bool afterEnd = _xml.NodeType == XmlNodeType.EndElement;
            while (_xml.Read())
            {
                if (afterEnd)
                {
                    _length = 0;
                    afterEnd = false;
                }

                switch (_xml.NodeType)
                {
                    case XmlNodeType.Element:
                        if (_xml.Depth >= MaxDepth)
                        {
                            log.Error(IssueLog.Line(Line), "Elements are nested more than 64 deep.", "What stands before was kept; this is no file of a watch.");
                            return false;
                        }

                        _length = 0;
                        return true;
                    case XmlNodeType.EndElement:
                        return true;
                    case XmlNodeType.Text or XmlNodeType.CDATA or XmlNodeType.SignificantWhitespace or XmlNodeType.Whitespace:
                        if (_xml.NodeType is XmlNodeType.Text or XmlNodeType.CDATA)
                        {
                            Gather();
                        }

                        break;
                }
            }

            return false;
        }
        catch (XmlException e)
        {
            string why = e.Message.Contains("DTD", StringComparison.Ordinal) ? "It declares a document type, which may hide other files in it."
                : e.Message.Contains("end of file", StringComparison.OrdinalIgnoreCase) || e.Message.Contains("not closed", StringComparison.Ordinal) ? $"The {root} file breaks off here."
                : $"The {root} file is no well-formed XML from here on.";
            log.Error(IssueLog.Line(Math.Max(1, e.LineNumber)), why, "What stands before was kept. Copy or export the file again.");
            return false;
        }
    }

    private void Gather()
    {
        // In pieces, so that a text of any length costs no memory.
        if (_xml.CanReadValueChunk)
        {
            int n;
            while (_length < MaxText && (n = _xml.ReadValueChunk(_text, _length, MaxText - _length)) > 0)
            {
                _length += n;
            }
        }
        else
        {
            string v = _xml.Value;
            int n = Math.Min(v.Length, MaxText - _length);
            v.AsSpan(0, n).CopyTo(_text.AsSpan(_length));
            _length += n;
        }
    }

    public void Dispose() => _xml.Dispose();
}
