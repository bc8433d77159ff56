package render

import (
	"slices"
	"testing"

	"benchwright/project"
	"benchwright/report"
)

func TestSessionsStandInTheOrderOfTheirDays(t *testing.T) {
	r := &report.Report{}
	for _, when := range [][2]string{{"2031-05-14", "19:00"}, {"", ""}, {"2031-05-12", ""}, {"2031-05-14", "09:00"}} {
		r.Sessions = append(r.Sessions, report.Session{Session: &project.Session{Date: when[0], Start: when[1]}})
	}
	if got, want := (&site{r: r}).sessionsByDay(), []int{2, 3, 0, 1}; !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}
