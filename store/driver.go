package store

import (
	"database/sql"
	"net/url"

	"github.com/mattn/go-sqlite3"
)

// driverName is our registration of the SQLite driver, with settings that can't be given in
// a file name.
const driverName = "bucktail-sqlite3"

func init() {
	sql.Register(driverName, &sqlite3.SQLiteDriver{ConnectHook: func(c *sqlite3.SQLiteConn) error {
		for _, p := range []string{
			"PRAGMA trusted_schema = OFF",      // the file's own SQL can't call functions with effects
			"PRAGMA cell_size_check = ON",      // damage is found early
			"PRAGMA fullfsync = ON",            // macOS: through the disk's own cache
			"PRAGMA checkpoint_fullfsync = ON", // likewise
			"PRAGMA recursive_triggers = ON",   // the triggers that guard entries see a REPLACE too
			"PRAGMA journal_size_limit = 16777216",
		} {
			if _, err := c.Exec(p, nil); err != nil {
				return err
			}
		}
		return nil
	}})
}

// dsn names a database file for the driver. The path is escaped: it may hold any character.
func dsn(path string, readOnly bool) string {
	q := url.Values{"_busy_timeout": {"10000"}, "_foreign_keys": {"on"}, "_synchronous": {"FULL"},
		"_stmt_cache_size": {"64"}} // compiling statements was a quarter of the work of adding an entry
	if readOnly {
		q.Set("mode", "ro")
	} else {
		q.Set("_journal_mode", "WAL")
		q.Set("_txlock", "immediate")
	}
	u := url.URL{Scheme: "file", Opaque: (&url.URL{Path: path}).EscapedPath(), RawQuery: q.Encode()}
	return u.String()
}

// openDB opens a database file.
func openDB(path string, readOnly bool) (*sql.DB, error) {
	db, err := sql.Open(driverName, dsn(path, readOnly))
	if err != nil {
		return nil, explain("open record", err)
	}
	if err := db.Ping(); err != nil {
		db.Close()
		return nil, explain("open record", err)
	}
	return db, nil
}
