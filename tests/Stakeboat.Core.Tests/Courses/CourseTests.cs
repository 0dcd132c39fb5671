using Stakeboat.Core.Courses;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Tests.Courses;

public class CourseTests
{
    [Fact]
    public void MarksStopAtTheFinish_EvenWhereTheLengthIsNoMultiple()
    {
        var course = StraightCourse.WithMarksEvery("Lake", Distance.FromMetres(1900), Distance.FromMetres(500), Distance.FromMetres(10));
        Assert.Equal([500, 1000, 1500, 1900], course.Marks.Select(m => m.FromStart.Metres));
    }

    [Fact]
    public void LanesAreAsFarApartAsTheirNumbers()
    {
        var course = StraightCourse.WithMarksEvery("Lake", Distance.FromMetres(2000), Distance.FromMetres(250), Distance.FromMetres(13.5));
        Assert.Equal(40.5, course.Between(1, 4).Metres, 12);
    }
}
