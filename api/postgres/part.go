package postgres

import (
	"context"

	"bentside/domain"
	"bentside/domain/stock"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

const classColumns = `SELECT id, name, method, version, created_at FROM part_classes`

func scanClass(row pgx.CollectableRow) (v domain.Versioned[stock.Class], err error) {
	c := &v.Value
	err = row.Scan(&c.ID, &c.Name, &c.Method, &v.Version, &v.CreatedAt)
	return v, err
}

// PartClasses returns a page of the classes of parts by name. No two share one.
func (r Reader) PartClasses(
	ctx context.Context, p Page,
) ([]domain.Versioned[stock.Class], error) {
	q := &query{sql: classColumns}
	q.where("workshop_id = " + q.arg(r.workshop))
	q.page(order{column: "name_key", key: lowerKey}, p)
	return many(ctx, r, scanClass, q.sql, q.args...)
}

// PartClass returns one class of parts.
func (r Reader) PartClass(
	ctx context.Context, id uuid.UUID,
) (domain.Versioned[stock.Class], error) {
	return one(ctx, r, "class of parts", scanClass, classColumns+`
		WHERE workshop_id = $1 AND id = $2`, r.workshop, id)
}

// LockPartClass locks a class, so that it values parts the same way until the transaction ends, and
// returns it with whether parts of it have been moved.
func (tx *Tx) LockPartClass(
	ctx context.Context, id uuid.UUID,
) (class domain.Versioned[stock.Class], moved bool, err error) {
	err = tx.exec(ctx, `
		SELECT FROM part_classes WHERE workshop_id = $1 AND id = $2 FOR UPDATE`, tx.workshop, id)
	if err != nil {
		return class, false, err
	}
	if class, err = tx.PartClass(ctx, id); err != nil {
		return class, false, err
	}
	moved, err = one(ctx, tx.Reader, "class of parts", pgx.RowTo[bool], `
		SELECT EXISTS (
		  SELECT FROM parts p
		  JOIN holdings h ON h.workshop_id = p.workshop_id AND h.part_id = p.id
		  WHERE p.workshop_id = $1 AND p.class_id = $2 AND h.moves > 0)`, tx.workshop, id)
	return class, moved, err
}

// AddPartClass adds a class of parts.
func (tx *Tx) AddPartClass(ctx context.Context, c stock.Class) error {
	return tx.exec(ctx, `
		INSERT INTO part_classes (workshop_id, id, name, method, created_at)
		VALUES ($1, $2, $3, $4, $5)`, tx.workshop, c.ID, c.Name, c.Method, tx.now)
}

// SavePartClass replaces a class of parts, at the version that was read.
func (tx *Tx) SavePartClass(ctx context.Context, c stock.Class, version int64) error {
	return tx.update(ctx, "class of parts", `
		UPDATE part_classes
		SET name = $3, method = $4, version = version + 1
		WHERE workshop_id = $1 AND id = $2 AND version = $5`,
		tx.workshop, c.ID, c.Name, c.Method, version)
}

// partColumns expect the nil UUID as $1.
const partColumns = `p.id, p.code, p.name, p.class_id, p.unit, p.purchase_unit, p.content, p.minimum,
	coalesce(p.supplier_id, $1::uuid), p.note, p.serves, p.version, p.created_at`

func partTargets(v *domain.Versioned[stock.Part]) []any {
	p := &v.Value
	return []any{
		&p.ID, &p.Code, &p.Name, &p.Class, &p.Unit, &p.PurchaseUnit, &p.Content, &p.Minimum,
		&p.Supplier, &p.Note, &p.Serves, &v.Version, &v.CreatedAt,
	}
}

func scanPart(row pgx.CollectableRow) (v domain.Versioned[stock.Part], err error) {
	err = row.Scan(partTargets(&v)...)
	return v, err
}

// byCode sorts parts by their codes, of which no two are the same.
var byCode = order{column: "p.code_key", key: lowerKey}

// Parts returns a page of the parts whose codes begin with a text, by code.
func (r Reader) Parts(
	ctx context.Context, code string, p Page,
) ([]domain.Versioned[stock.Part], error) {
	q := &query{sql: `SELECT ` + partColumns + ` FROM parts p`, args: []any{uuid.Nil}}
	q.where("p.workshop_id = " + q.arg(r.workshop))
	if code != "" {
		q.where(q.hasPrefix("p.code_key", lowerKey, code))
	}
	q.page(byCode, p)
	return many(ctx, r, scanPart, q.sql, q.args...)
}

// Part returns one part.
func (r Reader) Part(ctx context.Context, id uuid.UUID) (domain.Versioned[stock.Part], error) {
	return one(ctx, r, "part", scanPart, `SELECT `+partColumns+` FROM parts p
		WHERE p.workshop_id = $2 AND p.id = $3`, uuid.Nil, r.workshop, id)
}

// PartsByID returns those parts of some ids that there are.
func (r Reader) PartsByID(
	ctx context.Context, ids []uuid.UUID,
) (map[uuid.UUID]stock.Part, error) {
	list, err := many(ctx, r, scanPart, `SELECT `+partColumns+` FROM parts p
		WHERE p.workshop_id = $2 AND p.id = ANY($3::uuid[])`, uuid.Nil, r.workshop, ids)
	parts := map[uuid.UUID]stock.Part{}
	for _, p := range list {
		parts[p.Value.ID] = p.Value
	}
	return parts, err
}

// AddPart adds a part, of which nothing is in stock.
func (tx *Tx) AddPart(ctx context.Context, p stock.Part) error {
	err := tx.exec(ctx, `
		INSERT INTO parts (workshop_id, id, code, name, class_id, unit, purchase_unit, content, minimum,
		supplier_id, note, serves, created_at)
		VALUES (@workshop_id, @id, @code, @name, @class_id, @unit, @purchase_unit, @content, @minimum,
		nullif(@supplier_id::uuid, @none::uuid), @note, @serves, @created_at)`, tx.partArgs(p, pgx.StrictNamedArgs{
		"created_at": tx.now,
	}))
	if err != nil {
		return err
	}
	return tx.exec(ctx, `
		INSERT INTO holdings (workshop_id, part_id, moves, quantity, value)
		VALUES ($1, $2, 0, 0, 0)`, tx.workshop, p.ID)
}

// SavePart replaces a part, at the version that was read.
func (tx *Tx) SavePart(ctx context.Context, p stock.Part, version int64) error {
	return tx.update(ctx, "part", `
		UPDATE parts
		SET code = @code, name = @name, class_id = @class_id, unit = @unit,
		purchase_unit = @purchase_unit, content = @content, minimum = @minimum,
		supplier_id = nullif(@supplier_id::uuid, @none::uuid), note = @note, serves = @serves,
		version = version + 1
		WHERE workshop_id = @workshop_id AND id = @id AND version = @version`,
		tx.partArgs(p, pgx.StrictNamedArgs{"version": version}))
}

// partArgs adds the settings of a part to some arguments.
func (tx *Tx) partArgs(p stock.Part, args pgx.StrictNamedArgs) pgx.StrictNamedArgs {
	for name, v := range map[string]any{
		"workshop_id": tx.workshop, "id": p.ID, "code": p.Code, "name": p.Name, "class_id": p.Class,
		"unit": p.Unit, "purchase_unit": p.PurchaseUnit, "content": p.Content, "minimum": p.Minimum,
		"supplier_id": p.Supplier, "none": uuid.Nil, "note": p.Note,
		"serves": append([]stock.Served{}, p.Serves...),
	} {
		args[name] = v
	}
	return args
}
