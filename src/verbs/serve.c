#include "verbs/desk.h"

#include <pthread.h>
#include <signal.h>
#include <stdio.h>

#include "handlers/app.h"
#include "handlers/import_work.h"
#include "handlers/routes.h"
#include "store/data_dir.h"

int verb_serve(const struct options *o) {
	struct fault f = {0};
	struct app *app;
	sigset_t stops;
	sigemptyset(&stops);
	sigaddset(&stops, SIGTERM);
	sigaddset(&stops, SIGINT);
	pthread_sigmask(SIG_BLOCK, &stops, NULL); /* before any thread is started */
	signal(SIGPIPE, SIG_IGN);
	const char *address = o->address ? o->address : "127.0.0.1";
	if (!o->behind_tls && !text_starts(address, "127.")) {
		fprintf(
		    stderr,
		    "pegwarden: %s is reached from other machines, and passwords would cross the "
		    "network unprotected. Put a TLS proxy in front and say --behind-tls.\n",
		    address);
		return 1;
	}
	struct app_config ac = {
	    .data_dir = o->data, .share_dir = share_folder(o), .quiet = o->quiet};
	if (app_start(&app, &ac, &f) != ERR_OK) return verb_failed(&f);
	char templates[DATA_PATH_SIZE], statics[DATA_PATH_SIZE];
	struct http_config hc = {.address = address,
				 .port = o->port,
				 .threads = o->threads,
				 .strict_templates = o->strict_templates,
				 .behind_tls = o->behind_tls,
				 .templates = templates,
				 .statics = statics};
	hc.tables = all_routes(&hc.table_count);
	app_host(app, &hc.host);
	if (import_work_resume(app, &f) != ERR_OK) {
		app_stop(app);
		return verb_failed(&f);
	}
	struct http_server *server = NULL;
	if (data_dir_path(share_folder(o), "templates", templates, &f) == ERR_OK &&
	    data_dir_path(share_folder(o), "static", statics, &f) == ERR_OK)
		server = http_server_start(&hc, &f);
	int code = server ? 0 : verb_failed(&f);
	if (server) {
		printf("Pegwarden serves on http://%s:%d/\n", address, http_server_port(server));
		fflush(stdout);
		int stop;
		sigwait(&stops, &stop);
		http_server_stop(server);
	}
	app_stop(app);
	return code;
}

int verb_routes(const struct options *o) {
	size_t count;
	const struct route_table *table = all_routes(&count);
	(void)o;
	for (size_t t = 0; t < count; t++)
		for (size_t i = 0; i < table[t].count; i++) {
			const struct route *r = &table[t].route[i];
			printf("%-4s %-46s %-13s %s\n", r->method == METHOD_POST ? "POST" : "GET",
			       r->pattern, role_word(r->role), r->summary);
		}
	return 0;
}
