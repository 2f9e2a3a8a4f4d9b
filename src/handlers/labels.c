/*
 * Labels for gear, drawn on the sheets they are printed on: of one part, of an ensemble, of what
 * a member has, of whatever the list of gear shows.
 *
 * A symbol holds the tag and nothing else: a label outlives the address of any server.
 */
#include "base/limits.h"
#include "handlers/app.h"
#include "handlers/list.h"
#include "handlers/routes.h"
#include "handlers/words.h"
#include "outbound/label.h"

/* Hundredths of a millimetre; of die-cut sheets as they are common, no source. The first is
 * taken when none is chosen. */
static const struct {
	const char *name;
	struct label_sheet sheet;
} known_sheet[] = {
    {"a4_3x8", {21000, 29700, 3, 8, 725, 1290, 250, 0}},
    {"a4_2x7", {21000, 29700, 2, 7, 465, 1515, 250, 0}},
    {"letter_3x10", {21590, 27940, 3, 10, 476, 1270, 318, 0}},
    {"letter_2x7", {21590, 27940, 2, 7, 396, 2117, 478, 0}},
    {"single", {6000, 4000, 1, 1, 0, 0, 0, 0}},
};
static const struct choice sheet_choice[] = {
    {"a4_3x8", "A4, 3 x 8"},
    {"a4_2x7", "A4, 2 x 7"},
    {"letter_3x10", "Letter, 3 x 10"},
    {"letter_2x7", "Letter, 2 x 7"},
    {"single", "Single labels of 60 x 40 mm"},
    {NULL, NULL},
};
static const struct choice symbol_choice[] = {
    {"qr", "QR code"}, {"code_128", "Bar code (Code 128)"}, {NULL, NULL}};
/* Papers that the stylesheet knows; of any other the printer decides. */
static const struct {
	const char *name;
	int64_t width, height;
} known_paper[] = {{"a4", 21000, 29700}, {"letter", 21590, 27940}};

enum { SHEET, SYMBOL, SKIP, WIDTH, HEIGHT, COLUMNS, ROWS, LEFT, TOP, GAP_X, GAP_Y, FIELDS };
#define MEASURE(NAME, LABEL)                                                                       \
	{ .name = NAME, .label = LABEL " (mm)", .kind = FIELD_DECIMAL, .max = 600 * 1000 }
/* Columns times rows stay within LIMIT_PAGE_ROWS_MAX. */
static const struct field field[FIELDS] = {
    [SHEET] = {.name = "sheet", .label = "Sheet", .kind = FIELD_CHOICE, .choice = sheet_choice},
    [SYMBOL] = {.name = "symbol", .label = "Code", .kind = FIELD_CHOICE, .choice = symbol_choice},
    [SKIP] = {.name = "skip",
	      .label = "Places to leave empty",
	      .help = "Of a sheet that is begun: how many labels are gone, row by row.",
	      .kind = FIELD_INTEGER,
	      .min = 0,
	      .max = LIMIT_PAGE_ROWS_MAX - 1},
    [WIDTH] = MEASURE("width", "Width of the paper"),
    [HEIGHT] = MEASURE("height", "Height of the paper"),
    [COLUMNS] = {.name = "columns", .label = "Columns", .kind = FIELD_INTEGER, .min = 1, .max = 10},
    [ROWS] = {.name = "rows", .label = "Rows", .kind = FIELD_INTEGER, .min = 1, .max = 20},
    [LEFT] = MEASURE("margin_left", "Margin at the left and right"),
    [TOP] = MEASURE("margin_top", "Margin at the top and bottom"),
    [GAP_X] = MEASURE("gap_x", "Gap between columns"),
    [GAP_Y] = MEASURE("gap_y", "Gap between rows"),
};
static const struct resource resource = {"labels", "labels", field, FIELDS};

#define LAYOUT_QUERY                                                                               \
	"sheet", "symbol", "skip", "width", "height", "columns", "rows", "margin_left",            \
	    "margin_top", "gap_x", "gap_y"
static const char *const layout_query[] = {LAYOUT_QUERY, NULL};
static const char *const query[] = {LIST_QUERY,  "station",  "kind",   "state",      "hazard",
				    "component", "ensemble", "member", LAYOUT_QUERY, NULL};

static const struct list_page page = {.path = "/labels",
				      .title = "Labels",
				      .source = &label_list,
				      .filter = {{.label = "Station"},
						 {.label = "Kind", .choice = kind_choice},
						 {.label = "State", .choice = state_choice},
						 {.label = "Hazard", .choice = hazard_choice},
						 {.label = "Part"},
						 {.label = "Ensemble"},
						 {.label = "Member"}},
				      .keep = layout_query};

/* --- what is wished for ------------------------------------------------------------- */

/* The address carries the selection too; here only what says how it is laid out. */
static enum err read_layout(struct request *rq) {
	struct input in = {.pair = arena_array(&rq->arena, struct input_pair, FIELDS)};
	rq->resource = &resource;
	rq->value = arena_array(&rq->arena, struct value, FIELDS);
	if (!in.pair || !rq->value) return request_fail(rq, ERR_MEMORY, "There is no memory left.");
	for (size_t i = 0; i < FIELDS; i++) {
		const char *text = request_query(rq, field[i].name);
		if (text)
			in.pair[in.count++] = (struct input_pair){
			    .name = field[i].name, .text = text, .length = strlen(text)};
	}
	rq->is_read = true;
	const struct field_reading how = {.date_order = DATE_ISO_ONLY};
	return fields_read(&resource, &in, &how, &rq->arena, rq->value, &rq->faults);
}

static void take_measure(int64_t *measure, const struct value *v) {
	if (value_given(v)) *measure = value_int(v, 0) / 10;
}

/* The sheet chosen, with whatever is said to be otherwise. */
static enum err read_sheet(struct request *rq, struct label_sheet *sheet) {
	const struct value *v = rq->value;
	*sheet = known_sheet[value_int(&v[SHEET], 0)].sheet;
	take_measure(&sheet->width, &v[WIDTH]);
	take_measure(&sheet->height, &v[HEIGHT]);
	take_measure(&sheet->left, &v[LEFT]);
	take_measure(&sheet->top, &v[TOP]);
	take_measure(&sheet->gap_x, &v[GAP_X]);
	take_measure(&sheet->gap_y, &v[GAP_Y]);
	sheet->columns = value_int(&v[COLUMNS], sheet->columns);
	sheet->rows = value_int(&v[ROWS], sheet->rows);
	if (label_sheet_check(sheet, &rq->fault) != ERR_OK) return request_fault_to_field(rq);
	if (value_int(&v[SKIP], 0) >= sheet->columns * sheet->rows)
		return request_field_fault(rq, "skip", "This sheet has only %lld labels.",
					   (long long)(sheet->columns * sheet->rows));
	return ERR_OK;
}

/* --- the drawing --------------------------------------------------------------------- */

static const char *paper_of(const struct label_sheet *sheet) {
	for (size_t i = 0; i < sizeof known_paper / sizeof *known_paper; i++)
		if (known_paper[i].width == sheet->width && known_paper[i].height == sheet->height)
			return known_paper[i].name;
	return "other";
}

static struct doc *add_sheet(struct doc *sheets, const struct label_sheet *sheet) {
	struct doc *s = doc_add_map(sheets);
	doc_set_int(s, "number", (int64_t)doc_count(sheets));
	doc_set_text(s, "paper", paper_of(sheet));
	doc_set_int(s, "width", sheet->width);
	doc_set_int(s, "height", sheet->height);
	doc_set_printf(s, "width_mm", "%.2f", (double)sheet->width / 100);
	doc_set_printf(s, "height_mm", "%.2f", (double)sheet->height / 100);
	return doc_set_list(s, "labels");
}

/* Kind and size, and where it belongs: to its ensemble, or else to whoever has it. */
static struct label label_of(struct arena *a, const struct doc *row) {
	const char *size = doc_text(row, "size"), *ensemble = doc_text(row, "ensemble_code"),
		   *holder = doc_text(row, "holder_name");
	struct label label = {.tag = doc_text(row, "tag"), .line = {doc_text(row, "kind_label")}};
	size_t lines = 1;
	if (!text_empty(size)) label.line[lines++] = arena_printf(a, "Size %s", size);
	if (ensemble) label.line[lines++] = arena_printf(a, "Ensemble %s", ensemble);
	else if (holder) label.line[lines++] = arena_printf(a, "Issued to %s", holder);
	return label;
}

static enum err draw(struct request *rq, const struct label_sheet *sheet) {
	enum symbology symbology =
	    value_int(&rq->value[SYMBOL], 0) ? SYMBOLOGY_CODE_128 : SYMBOLOGY_QR;
	int64_t places = sheet->columns * sheet->rows, number = value_int(&rq->value[SKIP], 0);
	struct doc *sheets = doc_set_list(rq->doc, "sheets"), *labels = NULL;
	int64_t instead = 0;
	enum err err = ERR_OK;
	for (const struct doc *row = doc_get(rq->doc, "rows")->first; err == ERR_OK && row;
	     row = row->next, number++) {
		if (!labels || number % places == 0) labels = add_sheet(sheets, sheet);
		struct label label = label_of(&rq->arena, row);
		struct label_box place = label_place(sheet, number % places);
		struct doc *drawn = doc_add_map(labels);
		doc_set_text(drawn, "tag", label.tag);
		err = label_draw(&label, &place, symbology, drawn, &rq->fault);
		instead += doc_bool(drawn, "is_instead");
	}
	doc_set_int(rq->doc, "instead", instead);
	return err;
}

/* --- the page ------------------------------------------------------------------------- */

/* What is chosen, and apart from it the measures of the paper. */
static void add_form(struct request *rq) {
	bool open = false;
	if (!rq->value[SHEET].raw) rq->value[SHEET].raw = sheet_choice[0].value;
	if (!rq->value[SYMBOL].raw) rq->value[SYMBOL].raw = symbol_choice[0].value;
	struct doc *form = fields_form(&resource, &rq->arena, NULL, rq->value, &rq->faults, false);
	size_t i = 0;
	for (struct doc *f = form ? form->first : NULL; f; f = f->next, i++) {
		doc_set_bool(f, "is_measure", i >= WIDTH);
		open |= i >= WIDTH && rq->value[i].raw;
	}
	doc_set(rq->doc, "form", form);
	doc_set_bool(rq->doc, "has_measures", open);
}

/* With what was wrong, and nothing drawn. */
static enum err labels_form(struct request *rq) {
	enum err err = list_answer(rq, &page);
	if (err != ERR_OK) return err;
	doc_set_list(rq->doc, "sheets");
	doc_set_int(rq->doc, "instead", 0);
	add_form(rq);
	return ERR_OK;
}

/* A page of the answer is whole sheets: the next goes on where the last of it ended. */
static enum err labels(struct request *rq) {
	struct label_sheet sheet;
	struct list_page sheets = page;
	enum err err = read_layout(rq);
	if (err == ERR_OK) err = read_sheet(rq, &sheet);
	if (err != ERR_OK) return err;
	int64_t places = sheet.columns * sheet.rows;
	sheets.rows = LIMIT_PAGE_ROWS_MAX / places * places;
	err = list_answer(rq, &sheets);
	if (err == ERR_OK) err = draw(rq, &sheet);
	if (err == ERR_OK) add_form(rq);
	return err;
}

static const struct route route[] = {
    {METHOD_GET, "/labels", ROLE_MEMBER, RUN_READ, .handle = labels, .form = labels_form,
     .template_name = "labels", .query = query,
     .summary = "Labels with QR or bar codes on sheets to print"},
};
const struct route_table label_routes = {route, sizeof route / sizeof *route};
