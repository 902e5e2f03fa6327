package api_test

import (
	"encoding/json"
	"reflect"
	"testing"

	"bentside/api"
	"bentside/api/app"
	"bentside/domain/instrument"
	"bentside/openapi"

	"pgregory.net/rapid"
)

func TestEveryFieldOfAnInstrumentIsShownAndCanBeSentBack(t *testing.T) {
	t.Parallel()
	typ := reflect.TypeFor[instrument.Instrument]()
	drawn := rapid.MakeCustom[instrument.Instrument](rapid.MakeConfig{
		Fields: map[reflect.Type]map[string]*rapid.Generator[any]{typ: {
			// Resources of their own.
			"Measured": rapid.Just[any]([]instrument.Measurement(nil)),
			"Scale":    rapid.Just[any]([]instrument.ScaleNote(nil)),
			// Shown, and moved by what is done with the instrument.
			"State": rapid.Just[any](instrument.State("")),
		}},
	})
	rapid.Check(t, func(t *rapid.T) {
		i := drawn.Draw(t, "instrument")
		shown, err := json.Marshal(api.RenderInstrument(app.Versioned[instrument.Instrument]{Value: i}))
		if err != nil {
			t.Fatal(err)
		}
		var sent openapi.InstrumentSettings
		if err := json.Unmarshal(shown, &sent); err != nil {
			t.Fatal(err)
		}
		if got := api.ReadInstrument(i.ID, sent); !reflect.DeepEqual(got, i) {
			t.Errorf("shown as %s\nand sent back it is\n     %+v\nwant %+v", shown, got, i)
		}
	})
}
