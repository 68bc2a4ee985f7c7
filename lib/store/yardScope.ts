import 'server-only';
import {
	AliasNode,
	AndNode,
	BinaryOperationNode,
	ColumnNode,
	type DeleteQueryNode,
	type InsertQueryNode,
	JoinNode,
	type KyselyPlugin,
	type OnConflictNode,
	type OperationNode,
	OperationNodeTransformer,
	OperatorNode,
	PrimitiveValueListNode,
	type QueryId,
	ReferenceNode,
	type SelectQueryNode,
	TableNode,
	type UpdateQueryNode,
	ValueListNode,
	ValueNode,
	ValuesNode,
	WhereNode,
} from 'kysely';

/** The column that says whose a row is; every table has it. */
export const YARD_COLUMN = 'yard_id';

/**
 * Every query of one yard: what it reads, changes and removes is narrowed to the yard's own rows, and what it adds is the
 * yard's, whatever the query says. It stands between queries and database, so that no query can forget it. A data directory
 * holds one yard and goes without.
 *
 * Limit: text of one's own (`sql`) is not looked into; it may name columns of tables that the query itself names, no others.
 */
export function yardScope(yardId: string): KyselyPlugin {
	const transformer = new YardTransformer(yardId);
	return {
		transformQuery: ({ node, queryId }) => transformer.transformNode(node, queryId),
		transformResult: async ({ result }) => ({ ...result, rows: result.rows.map(withoutYard) }),
	};
}

function withoutYard<Row extends Record<string, unknown>>(row: Row): Row {
	if (!(YARD_COLUMN in row)) return row;
	const { [YARD_COLUMN]: _, ...rest } = row;
	return rest as Row; // queries are typed without the column
}

class YardTransformer extends OperationNodeTransformer {
	constructor(private readonly yardId: string) {
		super();
	}

	protected override transformSelectQuery(given: SelectQueryNode, queryId?: QueryId): SelectQueryNode {
		const node = super.transformSelectQuery(given, queryId);
		return this.narrowed(node, node.from?.froms ?? []);
	}

	protected override transformUpdateQuery(given: UpdateQueryNode, queryId?: QueryId): UpdateQueryNode {
		const node = super.transformUpdateQuery(given, queryId);
		return this.narrowed(node, [...(node.table === undefined ? [] : [node.table]), ...(node.from?.froms ?? [])]);
	}

	protected override transformDeleteQuery(given: DeleteQueryNode, queryId?: QueryId): DeleteQueryNode {
		const node = super.transformDeleteQuery(given, queryId);
		return this.narrowed(node, node.from.froms);
	}

	/** Outer joins are narrowed where they join, or the missing half of a pair would drop the other. */
	protected override transformJoin(given: JoinNode, queryId?: QueryId): JoinNode {
		const node = super.transformJoin(given, queryId);
		const own = this.conditionOn(node.table);
		return own === undefined ? node : JoinNode.cloneWithOn(node, own);
	}

	protected override transformInsertQuery(given: InsertQueryNode, queryId?: QueryId): InsertQueryNode {
		const node = super.transformInsertQuery(given, queryId);
		const { columns, values } = node;
		if (columns === undefined || values === undefined || !ValuesNode.is(values)) {
			throw new TypeError('rows are added by their values only');
		}
		const rows = values.values.map((row) =>
			PrimitiveValueListNode.is(row)
				? PrimitiveValueListNode.create([...row.values, this.yardId])
				: ValueListNode.create([...row.values, ValueNode.create(this.yardId)]),
		);
		return {
			...node,
			columns: [...columns, ColumnNode.create(YARD_COLUMN)],
			values: ValuesNode.create(rows),
			...(node.onConflict === undefined ? {} : { onConflict: this.withYard(node.onConflict) }),
		};
	}

	/** What may be there once in a yard is told by the yard too. */
	private withYard(node: OnConflictNode): OnConflictNode {
		const columns = node.columns ?? [];
		if (columns.length === 0) return node;
		return { ...node, columns: [ColumnNode.create(YARD_COLUMN), ...columns] };
	}

	private narrowed<Node extends { readonly where?: WhereNode }>(node: Node, tables: readonly OperationNode[]): Node {
		const conditions = tables.flatMap((table) => this.conditionOn(table) ?? []);
		const [first, ...rest] = [...(node.where === undefined ? [] : [node.where.where]), ...conditions];
		if (first === undefined) return node;
		return { ...node, where: WhereNode.create(rest.reduce((all, next) => AndNode.create(all, next), first)) };
	}

	private conditionOn(table: OperationNode): OperationNode | undefined {
		const name = nameOf(table);
		if (name === undefined) return undefined;
		return BinaryOperationNode.create(
			ReferenceNode.create(ColumnNode.create(YARD_COLUMN), TableNode.create(name)),
			OperatorNode.create('='),
			ValueNode.create(this.yardId),
		);
	}
}

/** What a table is called within its query; undefined for a query in a table's place, which is narrowed by itself. */
function nameOf(node: OperationNode): string | undefined {
	if (TableNode.is(node)) return node.table.identifier.name;
	if (AliasNode.is(node) && TableNode.is(node.node) && 'name' in node.alias) return String(node.alias.name);
	return undefined;
}
