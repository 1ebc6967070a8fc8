package store

import (
	"context"
	"database/sql"
	"embed"
	"encoding/hex"
	"fmt"
	"io"
	"io/fs"
)

//go:embed migration/*.sql
var migrations embed.FS

// projectionVersion is raised when package history adds the same entries up to something else,
// or the tables hold it in another way: the projections are then made again at the next start.
const projectionVersion = "2"

// migrationFiles lists the migrations in their order; the file name's number is its place.
func migrationFiles() ([]string, error) {
	files, err := fs.Glob(migrations, "migration/*.sql") // sorted by name
	for i, f := range files {
		var n int
		if _, err := fmt.Sscanf(f, "migration/%04d_", &n); err != nil || n != i+1 {
			return nil, fmt.Errorf("migration %q does not bear number %d", f, i+1)
		}
	}
	return files, err
}

// migrate brings the database to this version, one transaction for each migration.
func (s *Store) migrate(ctx context.Context) error {
	files, err := migrationFiles()
	if err != nil {
		return err
	}
	var at int
	if err := s.write.QueryRowContext(ctx, `PRAGMA user_version`).Scan(&at); err != nil {
		return explain("open record", err)
	}
	if at > len(files) {
		return ErrNewer
	}
	for i, f := range files[at:] {
		b, err := migrations.ReadFile(f)
		if err != nil {
			return err
		}
		if err := s.tx(ctx, "bring record to this version ("+f+")", func(tx *sql.Tx) error {
			if _, err := tx.Exec(string(b)); err != nil {
				return err
			}
			_, err := tx.Exec(fmt.Sprintf(`PRAGMA user_version = %d`, at+i+1))
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
	if err == sql.ErrNoRows {
		if v, err = newRecordID(s.rand); err == nil {
			_, err = tx.Exec(`INSERT INTO meta VALUES ('record', ?)`, v)
		}
	}
	if err != nil {
		return err
	}
	v = ""
	err = tx.QueryRow(`SELECT value FROM meta WHERE key = 'projection'`).Scan(&v)
	if err != nil && err != sql.ErrNoRows || v == projectionVersion {
		return err
	}
	if err := rebuild(ctx, tx, nil); err != nil {
		return err
	}
	_, err = tx.Exec(`INSERT INTO meta VALUES ('projection', ?) ON CONFLICT DO UPDATE SET value = excluded.value`, projectionVersion)
	return err
}

// checkVersion refuses to read a database of another version: reading does not migrate.
func (s *Store) checkVersion() error {
	files, err := migrationFiles()
	if err != nil {
		return err
	}
	var at int
	var v string
	if err := s.read.QueryRow(`PRAGMA user_version`).Scan(&at); err != nil {
		return explain("open record", err)
	}
	if at > len(files) {
		return ErrNewer
	}
	err = s.read.QueryRow(`SELECT value FROM meta WHERE key = 'projection'`).Scan(&v)
	if err != nil {
		return explain("open record", err)
	}
	if at < len(files) || v != projectionVersion {
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
