#include "handlers/worn.h"

#include "handlers/app.h"
#include "store/component.h"
#include "store/hold.h"

static bool is_chosen(const struct value *chosen, int64_t component) {
	for (size_t i = 0; i < chosen->list_count; i++)
		if (chosen->list[i] == component) return true;
	return false;
}

enum err worn_choices(struct request *rq, const struct field *field, const struct value *typed,
		      int64_t wearer) {
	int64_t component, member;
	enum err err = request_query_int(rq, "component", 1, INT64_MAX, 0, &component);
	if (err == ERR_OK) err = request_query_int(rq, "member", 1, INT64_MAX, 0, &member);
	if (err != ERR_OK) return err;
	if (!component && !member && typed && typed->list_count) component = typed->list[0];
	if (!component && !member) member = wearer;
	struct doc *worn = doc_set_list(rq->doc, "worn");
	err = worn_together(request_store(rq), component, member, &rq->arena, worn, &rq->fault);
	size_t number = 0;
	for (struct doc *c = err == ERR_OK ? worn->first : NULL; c; c = c->next, number++) {
		if (typed)
			doc_set_bool(c, "is_selected", is_chosen(typed, doc_int(c, "component")));
		doc_set_printf(c, "option_id", number ? "f-component-%zu" : "f-component", number);
	}
	doc_set_text(rq->doc, "worn_label", field->label);
	doc_set_bool(rq->doc, "has_worn", number > 0);
	doc_set_text(rq->doc, "component_error", fault_list_find(&rq->faults, "component"));
	return err;
}

enum err worn_check(struct request *rq, const struct value *chosen) {
	for (size_t i = 0; i < chosen->list_count; i++) {
		struct doc *row = NULL;
		long long component = (long long)chosen->list[i];
		for (size_t k = 0; k < i; k++)
			if (chosen->list[k] == chosen->list[i])
				return request_field_fault(
				    rq, "component", "Part %lld is named twice. Name each once.",
				    component);
		enum err err =
		    component_get(request_store(rq), chosen->list[i], &rq->arena, &row, &rq->fault);
		if (err != ERR_OK) return err;
		if (!row)
			return request_field_fault(rq, "component", "There is no part %lld.",
						   component);
	}
	return ERR_OK;
}
