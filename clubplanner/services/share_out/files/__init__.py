"""Share-outs as files, without a database: a problem in, a result out and checked."""
