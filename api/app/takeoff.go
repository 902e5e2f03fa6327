package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/google/uuid"
)

// TakenOff is an instrument with all that is counted of it.
type TakenOff struct {
	Instrument domain.Instrument
	Survey     uuid.UUID // whose counts it takes; zero: none
	Judgements domain.Judgements
	Catalogue  *catalogue.Catalogue
	TakeOff    domain.TakeOff
	Strings    domain.StringReport // on the usual terms
}

// TakeOff takes off every quantity of an instrument, by the newest catalogue
// and its newest survey.
func (a *App) TakeOff(ctx context.Context, actor Actor, instrument uuid.UUID) (Versioned[TakenOff], error) {
	return a.takeOff(ctx, a.Read(ctx, actor), instrument)
}

func (a *App) takeOff(ctx context.Context, r postgres.Reader, instrument uuid.UUID) (Versioned[TakenOff], error) {
	i, err := r.Instrument(ctx, instrument)
	if err != nil {
		return Versioned[TakenOff]{}, err
	}
	t := TakenOff{Instrument: i.Value}
	rev, err := r.LatestRevision(ctx)
	if err != nil {
		return Versioned[TakenOff]{}, err
	}
	c, err := a.catalogueOf(ctx, r, rev.Document)
	if err != nil {
		return Versioned[TakenOff]{}, err
	}
	t.Catalogue = c
	s, err := r.LatestSurvey(ctx, instrument)
	if err != nil {
		return Versioned[TakenOff]{}, err
	}
	var findings []domain.Finding
	if s != nil {
		t.Survey, findings = s.Value.ID, s.Value.Findings
	}
	if t.Judgements, err = domain.Judge(c, i.Value.Kind, findings); err != nil {
		return Versioned[TakenOff]{}, err
	}
	t.TakeOff = domain.TakeOffOf(c, i.Value, t.Judgements)
	t.Strings = domain.StringsOf(i.Value, t.Judgements, domain.UsualStringTerms())
	return Versioned[TakenOff]{Value: t, Version: i.Version, CreatedAt: i.CreatedAt}, nil
}

// Measure replaces what was counted or measured on an instrument, at the
// version of the instrument that was read.
func (a *App) Measure(ctx context.Context, actor Actor, instrument uuid.UUID, list []domain.Measurement, version int64) (Versioned[TakenOff], error) {
	var now Versioned[TakenOff]
	err := a.write(ctx, actor, domain.WriteInstruments, func(tx *postgres.Tx) error {
		i, err := tx.Instrument(ctx, instrument)
		if err != nil {
			return err
		}
		i.Value.Measured = list
		if err := i.Value.CheckMeasured(); err != nil {
			return err
		}
		if err := tx.SaveMeasurements(ctx, instrument, list, version); err != nil {
			return err
		}
		tx.Note("instrument.measured", instrument, map[string]any{"measurements": len(list)})
		now, err = a.takeOff(ctx, tx.Reader, instrument)
		return err
	})
	return now, err
}

// MeasureScale replaces the measured strings of an instrument, at the version
// of the instrument that was read. A row that names only the number of its wire
// is given the number's diameter.
func (a *App) MeasureScale(ctx context.Context, actor Actor, instrument uuid.UUID, scale []domain.ScaleNote, version int64) (Versioned[domain.Instrument], error) {
	var now Versioned[domain.Instrument]
	err := a.write(ctx, actor, domain.WriteInstruments, func(tx *postgres.Tx) error {
		i, err := tx.Instrument(ctx, instrument)
		if err != nil {
			return err
		}
		i.Value.Scale = domain.FillGauges(scale)
		if err := i.Value.CheckScale(); err != nil {
			return err
		}
		if err := tx.SaveScale(ctx, instrument, i.Value.Scale, version); err != nil {
			return err
		}
		tx.Note("instrument.scale_measured", instrument, map[string]any{"notes": len(scale)})
		now, err = tx.Instrument(ctx, instrument)
		return err
	})
	return now, err
}

// Strings works out an instrument's strings on the terms asked for, with the
// bearing of its newest survey.
func (a *App) Strings(ctx context.Context, actor Actor, instrument uuid.UUID, terms domain.StringTerms) (domain.StringReport, error) {
	t, err := a.TakeOff(ctx, actor, instrument)
	if err != nil {
		return domain.StringReport{}, err
	}
	return domain.StringsOf(t.Value.Instrument, t.Value.Judgements, terms), nil
}
