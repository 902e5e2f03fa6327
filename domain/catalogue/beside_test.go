package catalogue_test

import (
	"strings"
	"testing"

	"bentside/domain/catalogue"
)

// The tables that ship beside a catalogue are held to it row by row, too.
func TestABrokenRowOfATableBesideIsNamed(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	unseen := func(text string) error {
		_, err := catalogue.ReadUnseen(c, func(string) ([]byte, error) {
			return []byte("point,odds,law,repair_fails,says,standing\n" + text + "\n"), nil
		})
		return err
	}
	contrary := func(text string) error {
		_, err := catalogue.ReadContraries(c, func(string) ([]byte, error) {
			return []byte("operation,when,says,standing\n" + text + "\n"), nil
		})
		return err
	}
	for _, x := range []struct {
		name string
		err  error
		want string // empty: taken
	}{
		{"a crack unseen", unseen("SV-29,0.02,,0.15,x,from memory"), ""},
		{"for certain", unseen("SV-29,1,,1,x,from memory"), ""},
		{"likelier than certain", unseen("SV-29,1.01,,0,x,from memory"), "odds: must be a probability"},
		{"less than never", unseen("SV-29,0,,-0.1,x,from memory"), "repair_fails: must be a probability"},
		{"odds that are none", unseen("SV-29,few,,0,x,from memory"), "odds: must be a probability"},
		{"a point that stops nothing", unseen("SV-39,0.1,,0,x,from memory"), "must be a point that can"},
		{"a point that isn't there", unseen("SV-99,0.1,,0,x,from memory"), "must be a point that can"},
		{"unseen and unsaid", unseen("SV-29,0.1,,0,,from memory"), "standing: "},
		{"unseen by hearsay", unseen("SV-29,0.1,,0,x,hearsay"), "standing: "},
		{"no ivory to polish", contrary("KY-04,SV-42=plastic|covering:plastic,x,from memory"), ""},
		{"an operation that isn't there", contrary("KY-99,SV-42=plastic,x,from memory"), `unknown operation "KY-99"`},
		{"a fact that is none", contrary("KY-04,SV-42==plastic,x,from memory"), "when: "},
		{"no fact", contrary("KY-04,,x,from memory"), "must say which fact"},
		{"other work as a fact", contrary("KY-04,op:KY-03,x,from memory"), "must ask for a point"},
		{"a choice as a fact", contrary("KY-04,option:NATURALS=recover,x,from memory"), "must ask for a point"},
		{"the depth as a fact", contrary("KY-04,depth:restore,x,from memory"), "must ask for a point"},
		{"an answer that isn't there", contrary("KY-04,SV-42=tin,x,from memory"), "no such answer"},
		{"contrary and unsaid", contrary("KY-04,SV-42=plastic,,from memory"), "standing: "},
		{"contrary by hearsay", contrary("KY-04,SV-42=plastic,x,hearsay"), "standing: "},
	} {
		if x.want == "" {
			if x.err != nil {
				t.Errorf("%s: got %v", x.name, x.err)
			}
			continue
		}
		if x.err == nil || !strings.Contains(x.err.Error(), ".csv:2: ") ||
			!strings.Contains(x.err.Error(), x.want) {
			t.Errorf("%s: got %v, want %q in row 2", x.name, x.err, x.want)
		}
	}
}
