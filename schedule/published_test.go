package schedule_test

import (
	"strings"
	"testing"

	"bentside/schedule"
)

// row is one line of a published table: duration, then the answers. unknown marks a column that the
// source doesn't give.
type row struct {
	name                         string
	work, es, ef, ls, lf, tf, ff schedule.Ticks
}

const unknown schedule.Ticks = -1 << 20

// worked is one worked example of section numbers in data/worked_examples/scheduling.md; its
// sources are named there and here.
type worked struct {
	name   string
	rows   []row
	links  []schedule.Link
	finish schedule.Ticks
	path   string
}

// after links a finish to a start for each "successor: predecessors" of a list.
func after(list ...string) []schedule.Link {
	var links []schedule.Link
	for _, item := range list {
		to, from, _ := strings.Cut(item, ":")
		for p := range strings.FieldsSeq(from) {
			links = append(links, schedule.Link{From: p, To: to})
		}
	}
	return links
}

// arrows links activities on arrows, named "tail-head": an arc follows every arc that ends where it
// starts.
func arrows(rows []row) []schedule.Link {
	var links []schedule.Link
	for _, from := range rows {
		for _, to := range rows {
			_, head, _ := strings.Cut(from.name, "-")
			tail, _, _ := strings.Cut(to.name, "-")
			if head == tail {
				links = append(links, schedule.Link{From: from.name, To: to.name})
			}
		}
	}
	return links
}

func examples() []worked {
	handOut := []row{
		{"A", 6, 0, 6, 0, 6, 0, 0},
		{"B", 2, 6, 8, 6, 8, 0, 0},
		{"C", 2, 6, 8, 7, 9, 1, 0},
		{"D", 3, 8, 11, 8, 11, 0, 0},
		{"F", 2, 8, 10, 9, 11, 1, 1},
		{"E", 4, 11, 15, 11, 15, 0, 0},
		{"G", 1, 15, 16, 15, 16, 0, 0},
	}
	sevenArcs := []row{
		{"1-2", 7, 0, 7, 2, 9, 2, 0},
		{"1-3", 10, 0, 10, 0, 10, 0, 0},
		{"2-4", 6, 7, 13, 9, 15, 2, 2},
		{"3-4", 5, 10, 15, 10, 15, 0, 0},
		{"3-5", 4, 10, 14, 14, 18, 4, 4},
		{"4-5", 3, 15, 18, 15, 18, 0, 0},
		{"5-6", 2, 18, 20, 18, 20, 0, 0},
	}
	dummy := []row{
		{"1-2", 5, 0, 5, 0, 5, 0, 0},
		{"1-3", 6, 0, 6, 5, 11, 5, 2},
		{"2-3", 3, 5, 8, 8, 11, 3, 0},
		{"2-4", 8, 5, 13, 5, 13, 0, 0},
		{"3-5", 2, 8, 10, 11, 13, 3, 3},
		{"3-6", 11, 8, 19, 14, 25, 6, 6},
		{"4-5", 0, 13, 13, 13, 13, 0, 0},
		{"4-6", 1, 13, 14, 24, 25, 11, 11},
		{"5-6", 12, 13, 25, 13, 25, 0, 0},
	}
	allKinds := []row{
		{"A", 5, 0, 5, 0, 5, 0, 0},
		{"B", 4, 8, 12, 8, 12, 0, 0},
		{"C", 6, 10, 16, 10, 16, 0, 0},
		{"D", 3, 11, 14, 13, 16, 2, 2},
	}
	lag := schedule.WorkingLag
	// One tick is a sixth of a unit, so that the means (o+4m+p)/6 are whole.
	sixths := []row{
		{"A", 24, 0, 24, 0, 24, 0, unknown},
		{"B", 32, 0, 32, 23, 55, 23, unknown},
		{"C", 31, 24, 55, 24, 55, 0, unknown},
		{"D", 38, 24, 62, 52, 90, 28, unknown},
		{"E", 31, 55, 86, 55, 86, 0, unknown},
		{"F", 27, 62, 89, 90, 117, 28, unknown},
		{"G", 31, 86, 117, 86, 117, 0, unknown},
	}
	wholeMeans := []row{
		{"A", 2, 0, 2, 7, 9, 7, 0},
		{"B", 4, 0, 4, 0, 4, 0, 0},
		{"C", 3, 0, 3, 9, 12, 9, 0},
		{"D", 1, 2, 3, 9, 10, 7, 7},
		{"E", 6, 4, 10, 4, 10, 0, 0},
		{"F", 5, 3, 8, 12, 17, 9, 9},
		{"G", 7, 10, 17, 10, 17, 0, 0},
	}
	u := unknown
	merges := []row{ // three-point estimates in sixths; floats 2/3, 1/2 and 2 units
		{"A", 40, u, u, u, u, 4, u},
		{"B", 12, u, u, u, u, 12, u},
		{"C", 24, u, u, u, u, 0, u},
		{"D", 23, u, u, u, u, 4, u},
		{"E", 25, u, u, u, u, 0, u},
		{"F", 17, u, u, u, u, 0, u},
		{"G", 17, u, u, u, u, 4, u},
		{"H", 18, u, u, u, u, 0, u},
		{"I", 24, u, u, u, u, 3, u},
		{"J", 30, u, u, u, u, 0, u},
		{"K", 21, u, u, u, u, 0, u},
		{"L", 24, u, u, u, u, 3, u},
	}
	return []worked{
		{
			"1: two paths (course hand-out, studylib 8378728)", handOut,
			after("B:A", "C:A", "D:B", "F:C", "E:D F", "G:E"), 16, "A B D E G",
		},
		{
			"2: arrows (Taylor, chapter Project Management)", sevenArcs, arrows(sevenArcs), 20,
			"1-3 3-4 4-5 5-6",
		},
		{"3: arrows with a dummy (Taha 6.5-2)", dummy, arrows(dummy), 25, "1-2 2-4 4-5 5-6"},
		{
			"4: four kinds of link, lags of both signs (public hand-verified note)", allKinds,
			[]schedule.Link{
				{From: "A", To: "B", Lag: lag(3)},
				{From: "A", To: "C", Kind: schedule.FinishToFinish, Lag: lag(1)},
				{From: "B", To: "C", Lag: lag(-2)},
				{From: "B", To: "D", Kind: schedule.StartToStart, Lag: lag(2)},
				{From: "C", To: "D", Kind: schedule.StartToFinish, Lag: lag(4)},
			},
			16, "A B C",
		},
		{
			"5: three-point means in sixths (Wikipedia, PERT)", sixths,
			after("C:A", "D:A", "E:B C", "F:D", "G:E"), 117, "A C E G",
		},
		{
			"6: whole means (atozmath PERT example 1)", wholeMeans,
			after("D:A", "E:B", "F:C", "G:D E"), 17, "B E G",
		},
		{
			"7: several merges in sixths (OperationsResearchModels.jl)", merges,
			after("D:A B", "E:B C", "F:A B E", "G:D E", "H:E F", "I:G H",
				"J:G H", "K:H I J", "L:G H I"), 135, "C E F H J K",
		},
	}
}

func (p *worked) activities() []schedule.Activity {
	activities := make([]schedule.Activity, len(p.rows))
	for i, r := range p.rows {
		activities[i] = schedule.Activity{Name: r.name, Work: r.work}
	}
	return activities
}

func TestPublishedExamplesComeOutAsPrinted(t *testing.T) {
	t.Parallel()
	for _, ex := range examples() {
		t.Run(ex.name, func(t *testing.T) {
			t.Parallel()
			n := network(t, ex.activities(), ex.links...)
			r := criticalPath(t, n, openAxis(t, 1000), epoch)
			for i, want := range ex.rows {
				g := r.Activities[i]
				got := row{
					want.name, want.work, g.Early.StartTick, g.Early.FinishTick, g.Late.StartTick,
					g.Late.FinishTick, g.TotalFloat, g.FreeFloat,
				}
				if got != masked(want, got) {
					t.Errorf("%s:\n got %v\nwant %v", want.name, got, want)
				}
			}
			got := schedule.Ticks(r.Finish) / schedule.Ticks(schedule.TickMinutes)
			if got != ex.finish {
				t.Errorf("finish = %d, want %d", got, ex.finish)
			}
			if got := strings.Join(names(n, r.Path), " "); got != ex.path {
				t.Errorf("critical path = %s, want %s", got, ex.path)
			}
		})
	}
}

// masked returns want with the columns its source doesn't give taken from got.
func masked(want, got row) row {
	for _, c := range []struct {
		want *schedule.Ticks
		got  schedule.Ticks
	}{
		{&want.es, got.es},
		{&want.ef, got.ef},
		{&want.ls, got.ls},
		{&want.lf, got.lf},
		{&want.tf, got.tf},
		{&want.ff, got.ff},
	} {
		if *c.want == unknown {
			*c.want = c.got
		}
	}
	return want
}

// The same examples with elapsed instead of working lags: on an axis that never closes the two are
// one.
func TestPublishedExamplesHoldWithElapsedLags(t *testing.T) {
	t.Parallel()
	for _, ex := range examples() {
		working := criticalPath(t, network(t, ex.activities(), ex.links...), openAxis(t, 1000),
			epoch)
		elapsed := make([]schedule.Link, len(ex.links))
		for i, l := range ex.links {
			elapsed[i] = l
			for k := schedule.Ticks(-5); k <= 5; k++ {
				if l.Lag == schedule.WorkingLag(k) {
					elapsed[i].Lag = schedule.ElapsedLag(k.Minutes())
				}
			}
		}
		got := criticalPath(t, network(t, ex.activities(), elapsed...), openAxis(t, 1000), epoch)
		for i := range got.Activities {
			g, w := got.Activities[i], working.Activities[i]
			if g.Early != w.Early || g.Late != w.Late || g.TotalFloat != w.TotalFloat ||
				g.FreeFloat != w.FreeFloat {
				t.Errorf("%s, %s: got %+v, want %+v", ex.name, ex.rows[i].name, g, w)
			}
		}
	}
}
