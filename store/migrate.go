package store

import (
	"context"
	"database/sql"
	"embed"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"regexp"
	"slices"
	"strconv"
)

//go:embed migration/*.sql
var migrations embed.FS

// projectionVersion is raised when package history adds the same entries up to something else,
// or the tables hold it in another way: the projections are then made again at the next start.
const projectionVersion = "3"

// migration is one step: it brings a database of any lower version to this one.
type migration struct {
	version    int
	file, text string
}

// migrationName is "0003_device.sql": the version that it leads to, and what it is about.
var migrationName = regexp.MustCompile(`^([0-9]{4})_[a-z0-9-]+\.sql$`)

// listMigrations lists the migrations of a folder by their numbers.
func listMigrations(dir fs.FS) ([]migration, error) {
	files, err := fs.ReadDir(dir, ".")
	if err != nil {
		return nil, err
	}
	var all []migration
	for _, f := range files { // sorted by name, so by number
		m := migrationName.FindStringSubmatch(f.Name())
		if m == nil {
			return nil, fmt.Errorf("migration %q: a name is four digits, _, words, .sql", f.Name())
		}
		version, _ := strconv.Atoi(m[1]) // digits alone
		if version == 0 || len(all) > 0 && version == all[len(all)-1].version {
			return nil, fmt.Errorf("migration %q: number %d is zero or taken", f.Name(), version)
		}
		b, err := fs.ReadFile(dir, f.Name())
		if err != nil {
			return nil, err
		}
		all = append(all, migration{version, f.Name(), string(b)})
	}
	if len(all) == 0 {
		return nil, errors.New("there are no migrations")
	}
	return all, nil
}

// migrationsFrom gives the migrations that bring a database of some version to the latest, and
// [ErrNewer] for one beyond it.
func migrationsFrom(all []migration, version int) ([]migration, error) {
	if version > all[len(all)-1].version {
		return nil, ErrNewer
	}
	i, _ := slices.BinarySearchFunc(all, version+1, func(m migration, v int) int { return m.version - v })
	return all[i:], nil
}

// pending gives what is left to do for a database.
func pending(ctx context.Context, db *sql.DB) ([]migration, error) {
	dir, err := fs.Sub(migrations, "migration")
	if err != nil {
		return nil, err
	}
	all, err := listMigrations(dir)
	if err != nil {
		return nil, err
	}
	var version int
	if err := db.QueryRowContext(ctx, `PRAGMA user_version`).Scan(&version); err != nil {
		return nil, explain("open record", err)
	}
	return migrationsFrom(all, version)
}

// migrate brings the database to this version, one transaction for each migration.
func (s *Store) migrate(ctx context.Context) error {
	left, err := pending(ctx, s.write)
	if err != nil {
		return err
	}
	for _, m := range left {
		if err := s.tx(ctx, "bring record to this version ("+m.file+")", func(tx *sql.Tx) error {
			if _, err := tx.Exec(m.text); err != nil {
				return err
			}
			_, err := tx.Exec(fmt.Sprintf(`PRAGMA user_version = %d`, m.version))
			return err
		}); err != nil {
			return err
		}
	}
	return s.tx(ctx, "open record", func(tx *sql.Tx) error { return s.settleMeta(ctx, tx) })
}

// settleMeta gives a new record its id and makes the projections again if they are of another
// version.
func (s *Store) settleMeta(ctx context.Context, tx *sql.Tx) error {
	var v string
	err := tx.QueryRow(`SELECT value FROM meta WHERE key = 'record'`).Scan(&v)
	if errors.Is(err, sql.ErrNoRows) {
		if v, err = newRecordID(s.rand); err == nil {
			_, err = tx.Exec(`INSERT INTO meta (key, value) VALUES ('record', ?)`, v)
		}
	}
	if err != nil {
		return err
	}
	v = ""
	err = tx.QueryRow(`SELECT value FROM meta WHERE key = 'projection'`).Scan(&v)
	if err != nil && !errors.Is(err, sql.ErrNoRows) || v == projectionVersion {
		return err
	}
	if err := rebuild(ctx, tx, nil); err != nil {
		return err
	}
	_, err = tx.Exec(`INSERT INTO meta (key, value) VALUES ('projection', ?) ON CONFLICT DO UPDATE SET value = excluded.value`, projectionVersion)
	return err
}

// checkVersion refuses to read a database of another version: reading does not migrate.
func (s *Store) checkVersion() error {
	left, err := pending(context.Background(), s.read)
	if err != nil {
		return err
	}
	var v string
	err = s.read.QueryRow(`SELECT value FROM meta WHERE key = 'projection'`).Scan(&v)
	if err != nil {
		return explain("open record", err)
	}
	if len(left) > 0 || v != projectionVersion {
		return fmt.Errorf("the data was written by an older version of bucktail: start `bucktail serve` once to bring it to this version")
	}
	return nil
}

func newRecordID(rand io.Reader) (string, error) {
	var b [8]byte
	if _, err := io.ReadFull(rand, b[:]); err != nil {
		return "", fmt.Errorf("name the record: %w", err)
	}
	return hex.EncodeToString(b[:]), nil
}
