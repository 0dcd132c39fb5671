[assembly: System.Runtime.CompilerServices.InternalsVisibleTo("Stakeboat.Words.Tests")]
