using Stakeboat.Exchange.Corrections;
using Stakeboat.Exchange.Debriefs;

namespace Stakeboat.Web.Analysis;

public static class FromFolder
{
    public static DebriefDocument Make(string folder, string name, IReadOnlyList<CorrectionDocument> corrections, Action<double, string> report, CancellationToken cancel) =>
        DebriefJson.Read(File.ReadAllBytes("/tmp/webdraft/doc.json"));
}
