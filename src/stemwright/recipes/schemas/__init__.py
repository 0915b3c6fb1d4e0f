"""JSON Schemas of recipes and session sheets, for editors; `stemwright.recipes.schema` reads and builds them."""
