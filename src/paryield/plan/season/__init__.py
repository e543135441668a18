"""A season of emphases, their order by lot: laid out, put on record, followed, and answered."""
