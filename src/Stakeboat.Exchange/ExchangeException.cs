namespace Stakeboat.Exchange;

/// <summary>A document that cannot be read, with a sentence for the person.</summary>
public sealed class ExchangeException : Exception
{
    public ExchangeException(string message)
        : base(message)
    {
    }

    public ExchangeException(string message, Exception inner)
        : base(message, inner)
    {
    }
}
